"""Options of the verbs that look at two renders."""

from __future__ import annotations

from typing import Annotated, Final

import typer

PICTURE: Final = "file, or a pattern such as 'beauty.####.exr'."

Old = Annotated[str, typer.Argument(help=f"Old render: {PICTURE}", show_default=False)]
New = Annotated[str, typer.Argument(help=f"New render: {PICTURE}", show_default=False)]
InA = Annotated[
    str | None,
    typer.Option("--in-a", help="Space of A, if its file does not state it.", metavar="SPACE"),
]
InB = Annotated[
    str | None,
    typer.Option("--in-b", help="Space of B, if its file does not state it.", metavar="SPACE"),
]
ViewA = Annotated[
    str | None,
    typer.Option("--view-a", help="View of A, if it is scene-referred.", metavar="VIEW"),
]
ViewB = Annotated[
    str | None,
    typer.Option("--view-b", help="View of B, if it is scene-referred.", metavar="VIEW"),
]
Display = Annotated[
    str | None, typer.Option("--display", help="Display of the views.", show_default=False)
]
LayerA = Annotated[
    str, typer.Option("--layer-a", help="Layer of A.", metavar="NAME", show_default=False)
]
LayerB = Annotated[
    str, typer.Option("--layer-b", help="Layer of B.", metavar="NAME", show_default=False)
]
PartA = Annotated[
    str | None, typer.Option("--part-a", help="Part of A, name or number.", metavar="PART")
]
PartB = Annotated[
    str | None, typer.Option("--part-b", help="Part of B, name or number.", metavar="PART")
]
