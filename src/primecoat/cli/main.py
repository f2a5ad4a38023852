"""All verbs of the command line."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from primecoat import workflow
from primecoat.apply.execute import Done
from primecoat.checks.survey import Survey
from primecoat.cli.options import (
    AsJson,
    Config,
    FromSpace,
    Rehash,
    Roots,
    Target,
    ToSpace,
    Without,
)
from primecoat.cli.progress import progress_bar
from primecoat.cli.run import run_app
from primecoat.cli.swatch import swatch
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.files import replace_bytes
from primecoat.location import counted, printable
from primecoat.plan.operations import as_document, describe
from primecoat.plan.plan import load_plan
from primecoat.report import terminal
from primecoat.report.survey_document import survey_document, versions, why_document
from primecoat.version import __version__

app = typer.Typer(
    name="primecoat",
    help="Prime a 3D scene for wide-gamut rendering: find how every image and colour must be "
    "read, make it explicit, and be able to take it back.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:
    if asked:
        print(f"primecoat {__version__}")
        for library, version in versions()["libraries"].items():
            print(f"{library} {version}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option("--version", help="Versions of primecoat and libraries.", callback=_version),
    ] = False,
) -> None:
    """Prime a 3D scene for wide-gamut rendering."""


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(help="New or empty folder.")] = Path("primecoat-demo"),
    clean: Annotated[bool, typer.Option("--clean", help="The twin without faults.")] = False,
) -> None:
    """Write a demo scene with known faults and known answers."""
    written = workflow.demo(folder, clean=clean)
    print(f"{len(written)} files in {folder}. Next: primecoat survey {folder / 'tea.gltf'}")


@app.command()
def survey(
    target: Target,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: ToSpace = workflow.DEFAULT_TO,
    config: Config = None,
    without: Without = "",
    rehash: Rehash = False,
) -> None:
    """Say how every image and colour must be read, why, and what is wrong."""
    found = _survey(target, root, from_space, to_space, config, without, verify=rehash)
    if json:
        print(dumps(survey_document(found)), end="")
    else:
        terminal.show(terminal.survey_view(found))
    raise typer.Exit(0 if found.ready else 1)


@app.command()
def why(
    image: Annotated[Path, typer.Argument(help="The image.", show_default=False)],
    target: Annotated[
        Path | None,
        typer.Option(
            "--in", help="Scene or folder to judge it in; by default a scene nearby that uses it."
        ),
    ] = None,
    json: AsJson = False,
    root: Roots = None,
    without: Without = "",
) -> None:
    """Tell one image's whole story: each witness, its words and its weight."""
    place = target or _place_of(image)
    found = _survey(place, root, None, workflow.DEFAULT_TO, None, without)
    story = workflow.why(found, str(image))
    if json:
        print(dumps(why_document(story, found.findings)), end="")
    else:
        own = [f for f in found.findings if f.where == story.record.path]
        terminal.show(terminal.why_view(story, own))


@app.command()
def decide(
    target: Target,
    image: Annotated[str, typer.Argument(help="Path as in the survey.", show_default=False)],
    reading: Annotated[
        str,
        typer.Argument(
            help="Color Interop ID, 'data', or 'unknown' to take a word back.", show_default=False
        ),
    ],
    because: Annotated[str, typer.Option("--because", help="The reason, for later.")] = "",
    root: Roots = None,
) -> None:
    """Record a person's word on how one image must be read."""
    found = _survey(target, root, None, workflow.DEFAULT_TO, None, "")
    decision = workflow.decide(found, image, reading, because=because)
    print(
        f"{decision.image} is {decision.reading}, because you say so."
        if decision
        else f"The word on {image} is taken back."
    )


@app.command()
def plan(
    target: Target,
    route: Annotated[str, typer.Option("--route", help="tag, declare or bake.")] = "tag",
    out: Annotated[Path, typer.Option("--out", help="Plan file to write.")] = Path("plan.json"),
    in_place: Annotated[
        bool, typer.Option("--in-place", help="Rename files, rewrite scenes under their names.")
    ] = False,
    with_likely: Annotated[
        bool, typer.Option("--with-likely", help="Act on likely readings too.")
    ] = False,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: ToSpace = workflow.DEFAULT_TO,
    config: Config = None,
) -> None:
    """Draw up the changes that make a scene explicit; change nothing."""
    found = _survey(target, root, from_space, to_space, config, "", verify=True)
    made = workflow.plan(found, route, in_place=in_place, with_likely=with_likely)
    document = made.as_document(versions())
    _check_folder_of(out)
    if out.exists() and not _is_plan(out):
        raise UseError(f"{out} is there and is no plan.", "Give another name with --out.")
    replace_bytes(out, dumps(document).encode())
    if json:
        print(dumps(document), end="")
    else:
        terminal.show(terminal.plan_view(made))
        then = f" Next: primecoat apply {out}" if made.operations else ""
        print(f"\n{counted(len(made.operations), 'operation')} in {out}.{then}")
    grave = any(f.severity == "error" for f in (*made.findings, *found.findings))
    raise typer.Exit(1 if made.held or grave else 0)


@app.command()
def apply(
    plan_file: Annotated[Path, typer.Argument(help="Plan file.", show_default=False)],
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show, do nothing.")] = False,
    json: AsJson = False,
) -> None:
    """Carry out a plan, with a journal."""
    loaded = load_plan(plan_file)
    if dry_run:
        done: tuple[Done, ...] = tuple(
            Done(operation=o, method="not done") for o in loaded.operations
        )
    else:
        with progress_bar("applying") as progress:
            done = workflow.apply(loaded, progress=progress)
    if json:
        operations = [as_document(d.operation) | {"method": d.method} for d in done]
        _print("primecoat.applied/1", dry_run=dry_run, root=str(loaded.root), operations=operations)
        return
    terminal.show(terminal.done_view(done))
    if dry_run:
        print(f"{counted(len(done), 'operation')}, none done (--dry-run).")
    elif done:
        print(f"{counted(len(done), 'operation')} done.", end=" ")
        print(f"To take them back: primecoat undo {plan_file}")
    else:
        print("Nothing to do.")


@app.command()
def undo(
    target: Annotated[
        Path, typer.Argument(help="Plan file, scene (old or new) or folder.", show_default=False)
    ],
    json: AsJson = False,
) -> None:
    """Take back what the newest plan for a scene did."""
    undone = workflow.undo(target)
    if json:
        _print("primecoat.undone/1", operations=[as_document(u.operation) for u in undone])
        return
    for step in undone:
        print(f"taken back: {describe(step.operation)}")
    print(f"{counted(len(undone), 'operation')} taken back.")


@app.command()
def recover(
    target: Target,
    back: Annotated[bool, typer.Option("--back", help="Take the run back, do not finish.")] = False,
    json: AsJson = False,
) -> None:
    """Finish a run that was cut short, or take it back."""
    outcome = workflow.recover(target, back=back)
    if json:
        _print("primecoat.recovered/1", outcome=outcome.outcome, operations=outcome.operations)
    else:
        print(f"{outcome.outcome}: {counted(outcome.operations, 'operation')}.")


@app.command()
def gate(
    target: Target,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    config: Config = None,
) -> None:
    """Pass only if every image and colour is explicit; name each that is not."""
    found = _survey(target, root, from_space, workflow.DEFAULT_TO, config, "", verify=True)
    result = workflow.gate(found)
    if json:
        _print(
            "primecoat.gate/1",
            open=result.open,
            explicit=result.explicit,
            left=[{"where": h.where, "why": h.why, "remedy": h.remedy} for h in result.left],
            findings=[f.as_document() for f in result.findings],
        )
    else:
        terminal.show(terminal.left_view(result.left, result.explicit))
        grave = [f for f in result.findings if f.severity == "error"]
        if grave:
            terminal.show(terminal.findings_view(grave))
        print(f"The gate is {'open' if result.open else 'closed'}.")
    raise typer.Exit(0 if result.open else 1)


@app.command()
def report(
    target: Target,
    out: Annotated[Path, typer.Option("--out", help="HTML file to write.")] = Path("report.html"),
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: ToSpace = workflow.DEFAULT_TO,
    config: Config = None,
) -> None:
    """Write one self-contained HTML page: pictures, readings, evidence, findings, changes."""
    found = _survey(target, root, from_space, to_space, config, "")
    _write_new_or_own(out, workflow.report(found))
    raise typer.Exit(0 if found.ready else 1)


@app.command()
def sheet(
    target: Target,
    out: Annotated[Path, typer.Option("--out", help="File to write; .csv or .html.")] = Path(
        "settings.csv"
    ),
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: ToSpace = workflow.DEFAULT_TO,
    config: Config = None,
) -> None:
    """Write the settings to enter by hand where a program reads neither names nor scenes."""
    found = _survey(target, root, from_space, to_space, config, "")
    as_html = out.suffix.lower() in (".html", ".htm")
    _write_new_or_own(out, workflow.sheet(found, html=as_html))


app.command()(swatch)


def _place_of(image: Path) -> Path:
    """Return a scene that uses an image, else the image's folder; name it on stderr."""
    scenes = workflow.scenes_using(image)
    if len(scenes) > 1:
        others = ", ".join(printable(str(s)) for s in scenes[1:])
        print(f"primecoat: judged in {scenes[0]}; also used by {others}.", file=sys.stderr)
    return scenes[0] if scenes else image.parent


def _survey(
    target: Path,
    root: list[Path] | None,
    from_space: str | None,
    to_space: str,
    config: str | None,
    without: str,
    *,
    verify: bool = False,
) -> Survey:
    with progress_bar("measuring") as progress:
        return workflow.survey(
            target,
            roots=root or (),
            from_space=from_space,
            to_space=to_space,
            config=config,
            without=[word.strip() for word in without.split(",") if word.strip()],
            verify=verify,
            progress=progress,
        )


def _print(kind: str, **content: Any) -> None:
    print(dumps({"document": kind, **versions(), **content}), end="")


def _is_plan(path: Path) -> bool:
    try:
        load_plan(path)
    except Exception:  # noqa: BLE001 whatever it is, it is no plan of ours
        return False
    return True


def _write_new_or_own(path: Path, text: str) -> None:
    _check_folder_of(path)
    if path.exists() and not _is_ours(path, text):
        raise UseError(
            f"{path} is there and was not written by this verb.", "Give another name with --out."
        )
    replace_bytes(path, text.encode())
    print(f"Written: {path}")


def _check_folder_of(path: Path) -> None:
    if not path.parent.is_dir():
        raise UseError(f"There is no folder {path.parent}.", "Make it, or give another --out.")


def _is_ours(path: Path, text: str) -> bool:
    """Whether a file there already is an older state of the page or sheet to be written."""
    try:
        there = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False
    if "<footer>primecoat " in text:
        return "<footer>primecoat " in there
    return there.partition("\n")[0] == text.partition("\n")[0]


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; return the exit code."""
    return run_app(app, arguments)
