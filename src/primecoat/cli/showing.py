"""The verbs that write the demo, the report and the sheet of settings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import (
    Config,
    FromSpace,
    HouseFile,
    Roots,
    SceneTo,
    Target,
)
from primecoat.cli.progress import progress_bar, progress_bars
from primecoat.cli.surveyed import surveyed
from primecoat.cli.writing import write_new_or_own
from primecoat.errors import UseError

if TYPE_CHECKING:
    from primecoat.workflow.showing import ReportForm

_FORMS: dict[str, ReportForm] = {".html": "html", ".htm": "html", ".json": "json", ".csv": "csv"}


def demo(
    folder: Annotated[Path, typer.Argument(help="New or empty folder.")] = Path("primecoat-demo"),
    clean: Annotated[bool, typer.Option("--clean", help="The twin without faults.")] = False,
    renders: Annotated[
        bool,
        typer.Option("--renders", help="Two renders instead: before the switch, and after."),
    ] = False,
) -> None:
    """Write a demo scene with known faults and known answers, or renders to compare."""
    with progress_bar("making pictures") as progress:
        written = workflow.demo(folder, clean=clean, renders=renders, progress=progress)
    following = (
        f"compare {folder / 'before.exr'} {folder / 'after.exr'} --in-a lin_rec709_scene"
        if renders
        else f"survey {folder / 'tea.gltf'}"
    )
    print(f"{len(written)} files in {folder}. Next: primecoat {following}")


def report(
    target: Target,
    out: Annotated[Path, typer.Option("--out", help="File to write; .html, .json or .csv.")] = Path(
        "report.html"
    ),
    tell: Annotated[
        list[Path] | None,
        typer.Option(
            "--tell",
            metavar="FILE",
            help="What compare, match, handover or card read wrote with --json; repeatable.",
        ),
    ] = None,
    proof: Annotated[
        bool,
        typer.Option("--proof", help="Trace a proof for it; one that is kept is shown anyway."),
    ] = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: SceneTo = None,
    config: Config = None,
    house: HouseFile = None,
) -> None:
    """Write a report: pictures, readings, evidence, findings, changes, what was done and why."""
    from primecoat.proof.paths.proof import Told
    from primecoat.workflow.proof import kept_proof
    from primecoat.workflow.proof import proof as trace

    form = _FORMS.get(out.suffix.lower())
    if form is None:
        raise UseError(
            f"A report cannot be written as {out.suffix or out.name!r}.",
            f"Name a file that ends in {', '.join(_FORMS)}.",
        )
    found = surveyed(target, root, from_space, to_space, config, "", house=house)
    proved = None
    if form != "csv" and not proof:
        with progress_bar("reading the proof that is kept") as progress:
            proved = kept_proof(found, told=progress)
    if proof:
        with progress_bars("tracing", "looking for causes") as (tracing, splitting):
            proved = trace(found, told=Told(tracing=tracing, splitting=splitting))
    with progress_bar("writing the report") as progress:
        progress(0, 1, 0, 0)
        text = workflow.report(found, form=form, attached=tuple(tell or ()), proved=proved)
        progress(1, 1, 0, 0)
    write_new_or_own(out, text)
    raise typer.Exit(0 if found.ready else 1)


def sheet(
    target: Target,
    out: Annotated[Path, typer.Option("--out", help="File to write; .csv or .html.")] = Path(
        "settings.csv"
    ),
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: SceneTo = None,
    config: Config = None,
    house: HouseFile = None,
) -> None:
    """Write the settings to enter by hand where a program reads neither names nor scenes."""
    found = surveyed(target, root, from_space, to_space, config, "", house=house)
    as_html = out.suffix.lower() in (".html", ".htm")
    write_new_or_own(out, workflow.sheet(found, html=as_html))
