"""Options of the verbs that look at two renders."""

from __future__ import annotations

from typing import Annotated, Final

import typer

from primecoat.cli.values import space_option

PICTURE: Final = "file, or a pattern such as 'beauty.####.exr'."

Old = Annotated[str, typer.Argument(help=f"Old render: {PICTURE}", show_default=False)]
New = Annotated[str, typer.Argument(help=f"New render: {PICTURE}", show_default=False)]
InA = Annotated[
    str | None,
    space_option("--in-a", "Space of A, if its file does not state it."),
]
InB = Annotated[
    str | None,
    space_option("--in-b", "Space of B, if its file does not state it."),
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
OldCorrections = Annotated[
    str | None,
    typer.Option(
        "--old-corrections",
        help="What the old render went through beside its view: a file as 'corrections' reads it.",
        metavar="FILE",
    ),
]
OldCorrectionsIn = Annotated[
    str | None,
    space_option(
        "--old-corrections-in", "Space that they work in, where the file does not say it."
    ),
]
OldCorrectionsGives = Annotated[
    str | None,
    space_option(
        "--old-corrections-gives", "Space of the numbers that come out of them, if another."
    ),
]
OldCorrectionsClamp = Annotated[
    bool | None,
    typer.Option(
        "--old-corrections-clamp/--no-old-corrections-clamp",
        help="Whether CDL numbers among them clamp to 0 to 1.",
        show_default=False,
    ),
]
