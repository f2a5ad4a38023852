"""The verbs that plan a change, carry it out, take it back, and finish it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from primecoat import jobs, workflow
from primecoat.cli.options import (
    AsJson,
    Cluster,
    Config,
    FromSpace,
    HouseFile,
    Roots,
    SceneTo,
    Share,
    Target,
    Workers,
)
from primecoat.cli.progress import progress_bar, progress_bars
from primecoat.cli.storage import (
    As,
    BeyondHalf,
    Compression,
    Mips,
    Number,
    Tile,
    storage_of,
)
from primecoat.cli.surveyed import surveyed
from primecoat.cli.values import routes
from primecoat.cli.writing import check_folder_of, print_document
from primecoat.colour.defaults import DEFAULT_DISPLAY
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.files import replace_bytes
from primecoat.location import counted, pasteable, printable

if TYPE_CHECKING:
    from primecoat.apply.bakes import BakesFailedError
    from primecoat.plan.plan import Plan

_SHOWN = 5
"""Errors that are named at the end of a plan."""


def plan(
    target: Target,
    route: Annotated[
        str | None,
        typer.Option(
            "--route",
            help="tag (the default), declare or bake.",
            autocompletion=routes,
        ),
    ] = None,
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
    to_space: SceneTo = None,
    config: Config = None,
    house: HouseFile = None,
    ending: As = None,
    number: Number = None,
    compression: Compression = None,
    tile: Tile = None,
    mips: Mips = None,
    beyond_half: BeyondHalf = None,
    against: Annotated[
        str | None,
        typer.Option(
            "--against",
            help="View that pictures ready for a display are taken back through, so that it "
            "shows them again.",
            metavar="VIEW",
        ),
    ] = None,
    display: Annotated[
        str, typer.Option("--display", help="Display of that view.")
    ] = DEFAULT_DISPLAY,
    data_mips: Annotated[
        list[str] | None,
        typer.Option(
            "--data-mips",
            help="Data slot or image whose smaller levels are made anew; repeatable.",
            metavar="WHAT",
        ),
    ] = None,
    workers: Workers = None,
    cluster: Cluster = None,
) -> None:
    """Draw up the changes that make a scene explicit; change nothing."""
    from primecoat.plan.mended import not_mended
    from primecoat.report import terminal
    from primecoat.report.versions import versions

    found = surveyed(
        target, root, from_space, to_space, config, "", house=house, tells_house=False,
        verify=True, workers=workers, cluster=cluster,
    )  # fmt: skip
    conventions = found.readings.house.under(route=route)
    route = route or conventions.route or "tag"
    storage = storage_of(route, ending, number, compression, tile, mips, beyond_half)
    made = workflow.plan(
        found,
        route,
        in_place=in_place,
        with_likely=with_likely,
        storage=storage,
        against=(display, against) if against else None,
        data_levels=data_mips or (),
    )
    document = made.as_document(versions()) | {"house": conventions.as_document()}
    check_folder_of(out)
    if out.exists() and not _is_plan(out):
        raise UseError(f"{out} is there and is no plan.", "Give another name with --out.")
    replace_bytes(out, dumps(document).encode())
    if json:
        print(dumps(document), end="")
    else:
        terminal.show(terminal.plan_view(made))
        then = f" Next: primecoat apply {pasteable(out)}" if made.operations else ""
        if conventions.file:
            print(f"\nHouse conventions {conventions.words}.")
        print(f"\n{counted(len(made.operations), 'operation')} in {out}.{then}")
    grave = not_mended(made, found.findings)
    if grave and not made.held and not json:
        places = ", ".join(printable(f"{f.code} {f.where}") for f in grave[:_SHOWN])
        print(f"Errors that no plan mends: {places}{', ...' if len(grave) > _SHOWN else ''}.")
    raise typer.Exit(1 if made.held or grave else 0)


def apply(
    plan_file: Annotated[Path, typer.Argument(help="Plan file.", show_default=False)],
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show, do nothing.")] = False,
    json: AsJson = False,
    workers: Workers = None,
    cluster: Cluster = None,
    shard: Share = None,
) -> None:
    """Carry out a plan, with a journal; bakes first, which can be shared out."""
    from primecoat.apply.bakes import BakesFailedError
    from primecoat.apply.execute import Done
    from primecoat.plan.plan import load_plan
    from primecoat.report import terminal
    from primecoat.report.applied_document import applied_content

    loaded = load_plan(plan_file)
    if shard is not None:
        if dry_run:
            raise UseError("A share is not shown.", "Leave out --dry-run or --shard.")
        _bake_share(loaded, plan_file, jobs.Shard.parse(shard), workers, cluster, json)
        return
    if dry_run:
        done: tuple[Done, ...] = tuple(
            Done(operation=o, method="not done") for o in loaded.operations
        )
    else:
        try:
            with progress_bars("baking", "applying") as (baking, progress):
                done = workflow.apply(
                    loaded, workers=workers, cluster=cluster, baking=baking, progress=progress
                )
        except BakesFailedError as error:
            _show_failed(loaded, error, plan_file, json)
            raise typer.Exit(error.exit_code) from error
    if json:
        print_document("primecoat.applied/1", **applied_content(loaded, done, dry_run=dry_run))
        return
    terminal.show(terminal.done_view(done))
    if dry_run:
        print(f"{counted(len(done), 'operation')}, none done (--dry-run).")
    elif done:
        print(f"{counted(len(done), 'operation')} done.", end=" ")
        print(f"To take them back: primecoat undo {pasteable(plan_file)}")
    else:
        print("Nothing to do.")


def _bake_share(
    loaded: Plan,
    plan_file: Path,
    share: jobs.Shard,
    workers: int | None,
    cluster: str | None,
    json: bool,
) -> None:
    from primecoat.report import terminal
    from primecoat.report.applied_document import share_content
    from primecoat.report.bakes_view import bakes_view

    with progress_bar("baking") as progress:
        made = workflow.bake_share(
            loaded, share, workers=workers, cluster=cluster, progress=progress
        )
    if json:
        print_document(
            "primecoat.baked/1",
            shard=f"{share.number}/{share.count}",
            **share_content(loaded, made),
        )
    else:
        terminal.show(bakes_view(loaded, made))
        print(f"{counted(len(made.done), 'picture')} baked, share {share.number} of {share.count}.")
        print(f"When all shares are done: primecoat apply {pasteable(plan_file)}")
    raise typer.Exit(1 if made.failed else 0)


def _show_failed(loaded: Plan, error: BakesFailedError, plan_file: Path, json: bool) -> None:
    from primecoat.report import terminal
    from primecoat.report.applied_document import failed_content
    from primecoat.report.bakes_view import failed_view

    if json:
        print_document("primecoat.applied/1", **failed_content(loaded, error.share))
        return
    terminal.show(failed_view(error.share.failed))
    print(
        f"{counted(len(error.share.failed), 'picture')} could not be baked, so nothing in the "
        f"scene was changed. {counted(len(error.share.done), 'finished bake')} kept: when the "
        f"cause is mended, primecoat apply {pasteable(plan_file)} goes on from there."
    )


def undo(
    target: Annotated[
        Path, typer.Argument(help="Plan file, scene (old or new) or folder.", show_default=False)
    ],
    json: AsJson = False,
    root: Roots = None,
    house: HouseFile = None,
) -> None:
    """Take back what the newest plan for a scene did."""
    from primecoat.plan.operations import as_document, describe

    undone = workflow.undo(target, roots=root or (), house=house)
    if json:
        print_document("primecoat.undone/1", operations=[as_document(u.operation) for u in undone])
        return
    for step in undone:
        print(f"taken back: {describe(step.operation)}")
    print(f"{counted(len(undone), 'operation')} taken back.")


def recover(
    target: Target,
    back: Annotated[bool, typer.Option("--back", help="Take the run back, do not finish.")] = False,
    json: AsJson = False,
    root: Roots = None,
    house: HouseFile = None,
) -> None:
    """Finish a run that was cut short, or take it back."""
    outcome = workflow.recover(target, back=back, roots=root or (), house=house)
    if json:
        print_document(
            "primecoat.recovered/1", outcome=outcome.outcome, operations=outcome.operations
        )
    else:
        print(f"{outcome.outcome}: {counted(outcome.operations, 'operation')}.")


def _is_plan(path: Path) -> bool:
    from primecoat.plan.plan import load_plan

    try:
        load_plan(path)
    except Exception:  # noqa: BLE001 whatever it is, it is no plan of ours
        return False
    return True
