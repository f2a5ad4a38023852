"""The verb that says by how much a render changed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Config
from primecoat.documents import dumps
from primecoat.report import terminal
from primecoat.report.compare_document import compare_document
from primecoat.report.compare_view import compare_view

_PICTURE = "file, or a pattern such as 'beauty.####.exr'."


def compare(
    a: Annotated[str, typer.Argument(help=f"Old render: {_PICTURE}", show_default=False)],
    b: Annotated[str, typer.Argument(help=f"New render: {_PICTURE}", show_default=False)],
    in_a: Annotated[
        str | None,
        typer.Option("--in-a", help="Space of A, if its file does not state it.", metavar="SPACE"),
    ] = None,
    in_b: Annotated[
        str | None,
        typer.Option("--in-b", help="Space of B, if its file does not state it.", metavar="SPACE"),
    ] = None,
    view_a: Annotated[
        str | None,
        typer.Option("--view-a", help="View of A, if it is scene-referred.", metavar="VIEW"),
    ] = None,
    view_b: Annotated[
        str | None,
        typer.Option("--view-b", help="View of B, if it is scene-referred.", metavar="VIEW"),
    ] = None,
    display: Annotated[
        str | None, typer.Option("--display", help="Display of the views.", show_default=False)
    ] = None,
    layer_a: Annotated[
        str, typer.Option("--layer-a", help="Layer of A.", metavar="NAME", show_default=False)
    ] = "",
    layer_b: Annotated[
        str, typer.Option("--layer-b", help="Layer of B.", metavar="NAME", show_default=False)
    ] = "",
    part_a: Annotated[
        str | None, typer.Option("--part-a", help="Part of A, name or number.", metavar="PART")
    ] = None,
    part_b: Annotated[
        str | None, typer.Option("--part-b", help="Part of B, name or number.", metavar="PART")
    ] = None,
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
