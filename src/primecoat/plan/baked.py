"""What a baked picture keeps of where it came from.

OpenEXR and PNG keep two attributes of our own. TIFF has no place for such, so both stand in its
Software tag, which names what made the file (TIFF 6.0, tag 305).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import ImageError
from primecoat.images.oiio import attributes, open_input

BAKED_FROM = "primecoat:source"
"""Attribute that holds the SHA-256 of the source."""

RECIPE = "primecoat:baked"
"""Attribute that holds the recipe in words, with the versions of the libraries."""

_IN_SOFTWARE = re.compile(rf"{BAKED_FROM}=([0-9a-f]*) {RECIPE}=(.*)", re.DOTALL)


def record(recipe: str, source_sha256: str, ending: str) -> tuple[tuple[str, str, str], ...]:
    """Return the record of a bake as attributes: name, type, value.

    Examples
    --------
    >>> record("sRGB to ACEScg", "ab12", ".tif")
    (('Software', 'string', 'primecoat:source=ab12 primecoat:baked=sRGB to ACEScg'),)
    """
    if ending == ".tif":
        words = f"{BAKED_FROM}={source_sha256} {RECIPE}={recipe}"
        return (("Software", "string", words),)
    return (RECIPE, "string", recipe), (BAKED_FROM, "string", source_sha256)


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeRecord:
    """The record in a baked picture: hash of its source, and recipe; both empty if none."""

    source_sha256: str = ""
    recipe: str = ""

    def is_of(self, source_sha256: str, beginning: str, layers: Iterable[str] = ()) -> bool:
        """Whether the picture was made from such a source by such a recipe.

        Parameters
        ----------
        source_sha256
            Hash of the source.
        beginning
            What :func:`recipe_words` says.
        layers
            What :func:`layer_words` says of each further layer.
        """
        said = self.recipe.removeprefix(f"{beginning}; ")
        same = self.source_sha256 == source_sha256 and said != self.recipe
        return same and set(said.split("; ")[1:]) == set(layers)


def recipe_words(
    reading: str,
    to_space: str,
    config: str,
    storage: str,
    against: tuple[str, str] | None = None,
) -> str:
    """Return how a recipe begins; versions follow.

    Parameters
    ----------
    against
        Display and view that the picture was taken back through, if it was.

    Examples
    --------
    >>> recipe_words("srgb_rec709_scene", "lin_ap1_scene", "shop.ocio", "ending=.exr")
    'srgb_rec709_scene to lin_ap1_scene; shop.ocio; ending=.exr'
    """
    view = f" against {against[1]} on {against[0]}" if against else ""
    return f"{reading} to {to_space}{view}; {config}; {storage}"


def levels_words(kind: str, storage: str) -> str:
    """Return how the recipe of new levels begins; versions follow.

    Examples
    --------
    >>> levels_words("normal", "ending=.tif")
    'levels of normal numbers; ending=.tif'
    """
    return f"levels of {kind} numbers; {storage}"


def layer_words(part: int, layer: str, reading: str) -> str:
    """Return what a recipe says of a further layer, after the versions.

    Examples
    --------
    >>> layer_words(1, "", "lin_rec709_scene")
    'part 1 layer RGB lin_rec709_scene'
    """
    return f"part {part} layer {layer or 'RGB'} {reading}"


def bake_record(picture: Path) -> BakeRecord:
    """Return the record that a picture holds; an empty one if it holds none."""
    try:
        source = open_input(picture)
    except ImageError:
        return BakeRecord()
    try:
        found = attributes(source.spec(0))
    finally:
        source.close()
    in_software = _IN_SOFTWARE.match(str(found.get("Software", "")))
    if in_software:
        return BakeRecord(source_sha256=in_software[1], recipe=in_software[2])
    return BakeRecord(
        source_sha256=str(found.get(BAKED_FROM, "")), recipe=str(found.get(RECIPE, ""))
    )
