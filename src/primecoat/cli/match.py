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
    OldCorrections,
    OldCorrectionsClamp,
    OldCorrectionsGives,
    OldCorrectionsIn,
    PartA,
    PartB,
    ViewA,
    ViewB,
)
from primecoat.cli.values import one_of
from primecoat.documents import dumps
from primecoat.renders.match.steps import STEPS


def match(
    old: Old,
    new: New,
    old_corrections: OldCorrections = None,
    old_corrections_in: OldCorrectionsIn = None,
    old_corrections_gives: OldCorrectionsGives = None,
    old_corrections_clamp: OldCorrectionsClamp = None,
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
            autocompletion=one_of(STEPS),
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
    from primecoat.report import terminal
    from primecoat.report.match_document import match_document
    from primecoat.report.match_view import match_view

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
