"""The verb that hands renders over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Config, Workers
from primecoat.cli.progress import progress_bar
from primecoat.cli.values import one_of, space_option
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.renders.handover.kinds import KINDS

if TYPE_CHECKING:
    from primecoat.renders.handover.recipe import Rgb


def handover(
    masters: Annotated[
        list[str],
        typer.Argument(
            help="Renders: files, or patterns such as 'beauty.####.exr'.", show_default=False
        ),
    ],
    kind: Annotated[
        str,
        typer.Option(
            "--as",
            help=f"One of {', '.join(KINDS)}.",
            metavar="KIND",
            autocompletion=one_of(KINDS),
        ),
    ],
    in_space: Annotated[
        str | None,
        space_option("--in", "Space of the renders, if they do not state it."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Folder; by default KIND beside the first render."),
    ] = None,
    view: Annotated[
        str,
        typer.Option(
            "--view",
            help="View, such as Un-tone-mapped; by default the config's own.",
            metavar="VIEW",
            show_default=False,
        ),
    ] = "",
    display: Annotated[
        str,
        typer.Option(
            "--display", help="Display; by default the first of the kind.", show_default=False
        ),
    ] = "",
    look: Annotated[
        str | None,
        typer.Option(
            "--look",
            help="Look before the view: a CDL, worked in ACEScct without clamping, or a LUT.",
            metavar="FILE",
        ),
    ] = None,
    look_in: Annotated[str | None, space_option("--look-in", "Space the look works in.")] = None,
    look_gives: Annotated[str | None, space_option("--look-gives", "Space the look gives.")] = None,
    look_clamp: Annotated[
        bool, typer.Option("--look-clamp", help="Clamp CDL numbers as ASC CDL v1.2 says.")
    ] = False,
    number: Annotated[
        str,
        typer.Option(
            "--number",
            help="Store half, float, 16-bit or 8-bit.",
            show_default=False,
            autocompletion=one_of(("half", "float", "16-bit", "8-bit")),
        ),
    ] = "",
    compression: Annotated[
        str,
        typer.Option(
            "--compression",
            help="Pack by zip, zips, piz or none.",
            show_default=False,
            autocompletion=one_of(("zip", "zips", "piz", "none")),
        ),
    ] = "",
    quality: Annotated[int, typer.Option("--quality", help="Of JPEG, 1 to 100.")] = 95,
    profile: Annotated[
        bool, typer.Option("--profile", help="State the space of PNG by an ICC profile, not cICP.")
    ] = False,
    over: Annotated[
        str | None,
        typer.Option("--over", help="Light behind what alpha leaves, ACEScg.", metavar="R,G,B"),
    ] = None,
    drop_alpha: Annotated[
        bool, typer.Option("--drop-alpha", help="Leave alpha out, colour as it stands.")
    ] = False,
    beyond_half: Annotated[
        str,
        typer.Option(
            "--beyond-half",
            help="Refuse or clamp what is not finite or, in half, above 65504.",
            autocompletion=one_of(("refuse", "clamp")),
        ),
    ] = "refuse",
    layer: Annotated[
        str, typer.Option("--layer", help="Layer.", metavar="NAME", show_default=False)
    ] = "",
    part: Annotated[
        str | None, typer.Option("--part", help="Part, name or number.", metavar="PART")
    ] = None,
    leave_out: Annotated[
        bool, typer.Option("--leave-out", help="Leave out other layers and channels.")
    ] = False,
    json: AsJson = False,
    config: Config = None,
    workers: Workers = None,
) -> None:
    """Hand renders over: ACES containers, ACEScg, display files; each read back and listed."""
    from primecoat.report import terminal
    from primecoat.report.handover_document import handover_document
    from primecoat.report.handover_view import handover_view

    with progress_bar("handing over") as progress:
        found = workflow.handover(
            masters,
            kind,
            out=out,
            in_space=in_space,
            layer=layer,
            part=part,
            leave_out=leave_out,
            number=number,
            compression=compression,
            quality=quality,
            profile=profile,
            display=display,
            view=view,
            look=look,
            look_in=look_in,
            look_gives=look_gives,
            look_clamp=look_clamp,
            drop_alpha=drop_alpha,
            over=None if over is None else _light(over),
            beyond_half=beyond_half,
            config=config,
            workers=workers,
            progress=progress,
        )
    if json:
        print(dumps(handover_document(found)), end="")
    else:
        terminal.show(handover_view(found))
    raise typer.Exit(1 if found.failed else 0)


def _light(words: str) -> Rgb:
    """Return three numbers of light.

    Examples
    --------
    >>> _light("0.18, 0.18,0.18")
    (0.18, 0.18, 0.18)
    """
    try:
        red, green, blue = (float(word) for word in words.split(","))
    except ValueError as error:
        raise UseError(f"{words!r} is no light.", "Give three numbers, such as 0,0,0.") from error
    if not all(0 <= value <= 65504 for value in (red, green, blue)):
        raise UseError(f"{words!r} is no light.", "Give three numbers from 0 to 65504.")
    return red, green, blue
