"""The verb that hands renders over."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Cluster, Config, Workers
from primecoat.cli.progress import progress_bar
from primecoat.documents import dumps
from primecoat.renders.handover.kinds import KINDS
from primecoat.report import terminal
from primecoat.report.handover_view import handover_document, handover_view


def handover(
    masters: Annotated[
        list[str],
        typer.Argument(
            help="Scene-referred masters: files, or patterns such as 'beauty.####.exr'.",
            show_default=False,
        ),
    ],
    kind: Annotated[
        str, typer.Option("--as", help=f"What to make: {', '.join(KINDS)}.", metavar="KIND")
    ],
    out: Annotated[Path, typer.Option("--out", help="Folder for the files.")] = Path("handover"),
    in_space: Annotated[
        str | None,
        typer.Option(
            "--in", help="Space of the masters, if they do not state it.", metavar="SPACE"
        ),
    ] = None,
    layer: Annotated[
        str, typer.Option("--layer", help="Layer.", metavar="NAME", show_default=False)
    ] = "",
    part: Annotated[
        str | None, typer.Option("--part", help="Part, name or number.", metavar="PART")
    ] = None,
    display: Annotated[
        str | None, typer.Option("--display", help="Display, for kinds that are seen on one.")
    ] = None,
    view: Annotated[
        str | None,
        typer.Option("--view", help="View; Un-tone-mapped for none of it.", metavar="VIEW"),
    ] = None,
    look: Annotated[
        str | None,
        typer.Option("--look", help="Look before the view: CDL, CLF or LUT.", metavar="FILE"),
    ] = None,
    look_in: Annotated[
        str | None,
        typer.Option("--look-in", help="Space that the look works in.", metavar="SPACE"),
    ] = None,
    clamp: Annotated[
        bool | None,
        typer.Option(
            "--clamp/--no-clamp",
            help="Whether the look's CDL numbers clamp to 0 to 1.",
            show_default=False,
        ),
    ] = None,
    number: Annotated[
        str | None, typer.Option("--number", help="half, float, 8-bit or 16-bit.")
    ] = None,
    compression: Annotated[
        str | None, typer.Option("--compression", help="zip, zips, piz, rle or none.")
    ] = None,
    over_black: Annotated[
        bool, typer.Option("--over-black", help="Lay colour over black; write no alpha.")
    ] = False,
    mend: Annotated[
        bool,
        typer.Option(
            "--mend", help="Store NaN as 0 and light beyond half as 65504, and count them."
        ),
    ] = False,
    json: AsJson = False,
    config: Config = None,
    workers: Workers = None,
    cluster: Cluster = None,
) -> None:
    """Make files from masters that others read correctly, and prove each of them."""
    with progress_bar("handing over") as progress:
        done = workflow.handover(
            masters,
            kind,
            out,
            in_space=in_space,
            layer=layer,
            part=part,
            display=display,
            view=view,
            look=look,
            look_in=look_in,
            clamp=clamp,
            number=number,
            compression=compression,
            over_black=over_black,
            mend=mend,
            config=config,
            workers=workers,
            cluster=cluster,
            progress=progress,
        )
    if json:
        print(dumps(handover_document(done)), end="")
    else:
        terminal.show(handover_view(done))
    raise typer.Exit(1 if done.failed else 0)
