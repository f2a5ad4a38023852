"""The verb that says by how much a render changed."""

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


def compare(
    a: Old,
    b: New,
    in_a: InA = None,
    in_b: InB = None,
    view_a: ViewA = None,
    view_b: ViewB = None,
    display: Display = None,
    layer_a: LayerA = "",
    layer_b: LayerB = "",
    part_a: PartA = None,
    part_b: PartB = None,
    align: Annotated[
        bool, typer.Option("--align", help="Bring B to the exposure of A before comparing.")
    ] = False,
    noise: Annotated[
        str | None,
        typer.Option("--noise", help="Second seed of A: what is noise.", metavar="PICTURE"),
    ] = None,
    colour_only: Annotated[
        bool, typer.Option("--colour-only", help="Let one have alpha and the other not.")
    ] = False,
    pictures: Annotated[
        Path | None,
        typer.Option("--pictures", help="Folder for pictures of the difference."),
    ] = None,
    json: AsJson = False,
    config: Config = None,
) -> None:
    """Compare two renders: exposure, colour difference, channels, gamut and clipping."""
    from primecoat.report import terminal
    from primecoat.report.compare_document import compare_document
    from primecoat.report.compare_view import compare_view

    found = workflow.compare(
        a,
        b,
        in_a=in_a,
        in_b=in_b,
        view_a=view_a,
        view_b=view_b,
        display=display,
        layer_a=layer_a,
        layer_b=layer_b,
        part_a=part_a,
        part_b=part_b,
        align=align,
        noise=noise,
        colour_only=colour_only,
        pictures=pictures,
        config=config,
    )
    if json:
        print(dumps(compare_document(found)), end="")
    else:
        terminal.show(compare_view(found))
