"""Options that say how baked pictures are stored."""

from __future__ import annotations

from typing import Annotated

import typer

from primecoat.cli.values import one_of
from primecoat.errors import UseError
from primecoat.plan.recipe import (
    COMPRESSIONS,
    ENDINGS,
    NUMBERS,
    USUAL,
    Storage,
    storage_from_text,
)

As = Annotated[
    str | None,
    typer.Option(
        "--as",
        help="Bake to exr (the default), png or tif.",
        autocompletion=one_of(ending.removeprefix(".") for ending in ENDINGS),
    ),
]
Number = Annotated[
    str | None,
    typer.Option(
        "--number",
        help="Bake to auto (half, or float where it must be), half, float, 16-bit or 8-bit.",
        autocompletion=one_of(NUMBERS),
    ),
]
Compression = Annotated[
    str | None,
    typer.Option(
        "--compression",
        help="Pack bakes by zip, zips, piz, rle, lzw or none; all lossless.",
        autocompletion=one_of(dict.fromkeys(word for own in COMPRESSIONS.values() for word in own)),
    ),
]
Tile = Annotated[
    int | None,
    typer.Option("--tile", help="Size of tiles in bakes; 0 for rows; by default as the source."),
]
Mips = Annotated[
    str | None,
    typer.Option(
        "--mips",
        help="Smaller levels in bakes: yes, no or as-source (the default).",
        autocompletion=one_of(("yes", "no", "as-source")),
    ),
]
BeyondHalf = Annotated[
    str | None,
    typer.Option(
        "--beyond-half",
        help="For values beyond 65504 with half: store as float (the default) or clamp.",
        autocompletion=one_of(("float", "clamp")),
    ),
]


def storage_of(
    route: str,
    ending: str | None,
    number: str | None,
    compression: str | None,
    tile: int | None,
    mips: str | None,
    beyond_half: str | None,
) -> Storage:
    """Return the storage that the options ask for.

    Raises
    ------
    UseError
        If they ask for what cannot be, or the route bakes nothing.

    Examples
    --------
    >>> storage_of("bake", "png", None, None, None, None, None).number
    '16-bit'
    """
    asked = {
        "ending": None if ending is None else f".{ending.lower().removeprefix('.')}",
        "number": number,
        "compression": compression,
        "tile": None if tile is None else str(tile),
        "levels": mips,
        "beyond_half": beyond_half,
    }
    given = {name: value for name, value in asked.items() if value is not None}
    if not given:
        return USUAL
    if route != "bake":
        raise UseError(
            f"The route {route} stores no pictures anew.",
            "Options on how bakes are stored go with --route bake.",
        )
    if "number" not in given and given.get("ending") in ENDINGS:
        given["number"] = ENDINGS[given["ending"]][0]
    return storage_from_text(" ".join(f"{name}={value}" for name, value in given.items()))
