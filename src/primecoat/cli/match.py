"""The verb that gives the old look back as a few numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Config
from primecoat.cli.two_renders import (
    Display,
    InA,
    InB,
    LayerA,
    LayerB,
    New,
    Old,
    PartA,
    PartB,
    ViewA,
    ViewB,
)
from primecoat.documents import dumps
from primecoat.report import terminal
from primecoat.report.match_document import match_document
from primecoat.report.match_view import match_view


def match(
    old: Old,
    new: New,
    old_corrections: Annotated[
        str | None,
        typer.Option(
            "--old-corrections",
            help="What the old render went through beside its view: a file as 'corrections' "
            "reads it.",
            metavar="FILE",
        ),
    ] = None,
    old_corrections_in: Annotated[
        str | None,
        typer.Option(
            "--old-corrections-in",
            help="Space that they work in, where the file does not say it.",
            metavar="SPACE",
        ),
    ] = None,
    old_corrections_gives: Annotated[
        str | None,
        typer.Option(
            "--old-corrections-gives",
            help="Space of the numbers that come out of them, if another.",
            metavar="SPACE",
        ),
    ] = None,
    old_corrections_clamp: Annotated[
        bool | None,
        typer.Option(
            "--old-corrections-clamp/--no-old-corrections-clamp",
            help="Whether CDL numbers among them clamp to 0 to 1.",
            show_default=False,
        ),
    ] = None,
    in_a: InA = None,
    in_b: InB = None,
    view_a: ViewA = None,
    view_b: ViewB = None,
    display: Display = None,
    layer_a: LayerA = "",
    layer_b: LayerB = "",
    part_a: PartA = None,
    part_b: PartB = None,
    channels: Annotated[
        bool,
        typer.Option("--channels", help="Fit slope, offset and power of each channel too."),
    ] = False,
    up_to: Annotated[
        str | None,
        typer.Option(
            "--up-to",
            help="Step to take: nothing, exposure, contrast, saturation or channels; by default "
            "the simplest that serves.",
            metavar="STEP",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Folder for the look as CDL, CLF and config, and a picture."),
    ] = None,
    json: AsJson = False,
    config: Config = None,
) -> None:
    """Match a new render to an old one as it was seen: exposure, contrast, saturation."""
    found = workflow.match(
        old,
        new,
        old_corrections=old_corrections,
        old_corrections_in=old_corrections_in,
        old_corrections_gives=old_corrections_gives,
        old_corrections_clamp=old_corrections_clamp,
        in_a=in_a,
        in_b=in_b,
        view_a=view_a,
        view_b=view_b,
        display=display,
        layer_a=layer_a,
        layer_b=layer_b,
        part_a=part_a,
        part_b=part_b,
        channels=channels,
        up_to=up_to,
        out=out,
        config=config,
    )
    written = workflow.save_match(found, out) if out else ()
    if json:
        print(dumps(match_document(found, written)), end="")
    else:
        terminal.show(match_view(found, written))
