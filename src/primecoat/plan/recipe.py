"""How a picture is to be baked: into which space, and how the result is stored."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Final, Literal

from primecoat.errors import UseError

Number = Literal["auto", "half", "float", "16-bit", "8-bit"]
BeyondHalf = Literal["float", "clamp"]
Levels = Literal["as source", "yes", "no"]

NUMBERS: Final[tuple[Number, ...]] = ("auto", "half", "float", "16-bit", "8-bit")
ENDINGS: Final[dict[str, tuple[Number, ...]]] = {
    ".exr": ("auto", "half", "float"),
    ".tif": ("16-bit", "8-bit", "auto", "half", "float"),
    ".png": ("16-bit", "8-bit"),
}
"""File formats that are written, and the numbers each can hold."""

COMPRESSIONS: Final[dict[str, tuple[str, ...]]] = {
    ".exr": ("zip", "zips", "piz", "rle", "none"),
    ".tif": ("zip", "lzw", "none"),
    ".png": ("zip",),
}
"""Lossless ways to store each format smaller, the default first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Storage:
    """How a baked picture is stored.

    Parameters
    ----------
    ending
        ``.exr``, ``.tif`` or ``.png``.
    number
        Type of the numbers: ``auto`` is half, or float where the source is or where half cannot
        hold what comes out.
    compression
        One of :data:`COMPRESSIONS` for the format; empty for its default.
    tile
        Width and height of tiles; 0 for rows, -1 for the source's own way.
    levels
        Whether smaller levels (mip) are made.
    beyond_half
        What happens to values beyond 65504 where ``half`` is asked for: ``float`` stores the
        picture as float, ``clamp`` stores 65504 and counts.
    """

    ending: str = ".exr"
    number: Number = "auto"
    compression: str = ""
    tile: int = -1
    levels: Levels = "as source"
    beyond_half: BeyondHalf = "float"

    @property
    def packed(self) -> str:
        """The compression that is used."""
        return self.compression or COMPRESSIONS[self.ending][0]

    def as_text(self) -> str:
        """Return the storage as one line, as plans and records hold it.

        Examples
        --------
        >>> Storage().as_text()
        'ending=.exr number=auto compression=zip tile=-1 levels=as-source beyond_half=float'
        """
        fields = asdict(replace(self, compression=self.packed))
        return " ".join(f"{name}={str(value).replace(' ', '-')}" for name, value in fields.items())


USUAL: Final = Storage()
"""OpenEXR, zip, half where half can hold it; tiles and levels as in the source."""


def storage_from_text(text: str) -> Storage:
    """Return the storage that a line means.

    Raises
    ------
    UseError
        If it is no such line, or asks for what a format cannot hold.

    Examples
    --------
    >>> storage_from_text(Storage(number="float").as_text()).number
    'float'
    """
    fields: dict[str, str] = {}
    for word in text.split():
        name, found, value = word.partition("=")
        if not found or name not in Storage.__dataclass_fields__:
            raise UseError(f"{word!r} says nothing about storage.", "Make a new plan.")
        fields[name] = value.replace("-", " ") if name == "levels" else value
    try:
        made = Storage(**(fields | ({"tile": int(fields["tile"])} if "tile" in fields else {})))  # type: ignore[arg-type]
    except ValueError as error:
        raise UseError(f"{fields['tile']!r} is no size of a tile.", "Make a new plan.") from error
    return checked_storage(made)


def checked_storage(storage: Storage) -> Storage:
    """Return a storage that can be written.

    Raises
    ------
    UseError
        If it asks for what its format cannot hold.
    """
    ending, number = storage.ending, storage.number
    if ending not in ENDINGS:
        raise UseError(f"No picture is baked to {ending}.", f"Use one of: {', '.join(ENDINGS)}.")
    if number not in ENDINGS[ending]:
        raise UseError(
            f"{ending} does not hold {number} numbers.",
            f"Use one of: {', '.join(ENDINGS[ending])}.",
        )
    if storage.packed not in COMPRESSIONS[ending]:
        raise UseError(
            f"{ending} is not stored as {storage.packed}.",
            f"Use one of: {', '.join(COMPRESSIONS[ending])}.",
        )
    if storage.beyond_half not in ("float", "clamp"):
        raise UseError(f"Nothing is done as {storage.beyond_half!r}.", "Use float or clamp.")
    if storage.levels not in ("as source", "yes", "no"):
        raise UseError(f"There are no levels {storage.levels!r}.", "Use yes, no or as source.")
    if storage.tile > 0 and (ending == ".png" or storage.tile % 16 or storage.tile > 4096):
        raise UseError(
            f"Tiles of {storage.tile} are not written to {ending}.",
            "Use a multiple of 16 up to 4096, in .exr or .tif.",
        )
    if ending == ".png" and storage.levels == "yes":
        raise UseError(".png holds no smaller levels.", "Use .exr or .tif.")
    return storage
