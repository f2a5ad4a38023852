"""The kinds of file that renders are handed over as."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from primecoat.colour.ids import SPACES
from primecoat.errors import UseError


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of file.

    Parameters
    ----------
    name
        As it is asked for.
    words
        What it is, for people.
    ending
        Ending of its files.
    space
        Color Interop ID of its numbers.
    numbers
        Types of its numbers, the usual one first.
    compressions
        Lossless ways to store it smaller, the usual one first; none for JPEG.
    """

    name: str
    words: str
    ending: str
    space: str
    numbers: tuple[str, ...]
    compressions: tuple[str, ...] = ()

    @property
    def seen(self) -> bool:
        """Whether its numbers are those of a display, so that light goes through a view first."""
        return SPACES[self.space].referred == "display"

    @property
    def strict(self) -> bool:
        """Whether a standard fixes how it is stored."""
        return self.name == STRICT

    @property
    def holds_alpha(self) -> bool:
        """Whether its format has a place for alpha."""
        return self.ending != ".jpg"


STRICT: Final = "st2065-4"

_EXR: Final = ("zip", "zips", "piz", "none")
_PNG: Final = ("8-bit", "16-bit")
_TIFF: Final = ("16-bit", "8-bit")

KINDS: Final[dict[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind(
            name=STRICT,
            words="OpenEXR as SMPTE ST 2065-4 fixes it: AP0, half, scan lines, not compressed",
            ending=".exr",
            space="lin_ap0_scene",
            numbers=("half",),
            compressions=("none",),
        ),
        Kind(
            name="ap0-exr",
            words="OpenEXR in AP0, without the flag of the container",
            ending=".exr",
            space="lin_ap0_scene",
            numbers=("half", "float"),
            compressions=_EXR,
        ),
        Kind(
            name="acescg-exr",
            words="OpenEXR in ACEScg",
            ending=".exr",
            space="lin_ap1_scene",
            numbers=("half", "float"),
            compressions=_EXR,
        ),
        Kind(
            name="srgb-png",
            words="PNG for an sRGB display",
            ending=".png",
            space="srgb_rec709_display",
            numbers=_PNG,
            compressions=("zip",),
        ),
        Kind(
            name="srgb-jpeg",
            words="JPEG for an sRGB display",
            ending=".jpg",
            space="srgb_rec709_display",
            numbers=("8-bit",),
        ),
        Kind(
            name="srgb-tiff",
            words="TIFF for an sRGB display",
            ending=".tif",
            space="srgb_rec709_display",
            numbers=_TIFF,
            compressions=("zip", "none"),
        ),
        Kind(
            name="p3-png",
            words="PNG for a Display P3 display",
            ending=".png",
            space="srgb_p3d65_display",
            numbers=_PNG,
            compressions=("zip",),
        ),
        Kind(
            name="p3-jpeg",
            words="JPEG for a Display P3 display",
            ending=".jpg",
            space="srgb_p3d65_display",
            numbers=("8-bit",),
        ),
        Kind(
            name="p3-tiff",
            words="TIFF for a Display P3 display",
            ending=".tif",
            space="srgb_p3d65_display",
            numbers=_TIFF,
            compressions=("zip", "none"),
        ),
        Kind(
            name="pq-png",
            words="PNG for a Rec.2100 PQ display",
            ending=".png",
            space="pq_rec2020_display",
            numbers=("16-bit",),
            compressions=("zip",),
        ),
    )
}
"""All kinds by name."""


def kind_named(name: str) -> Kind:
    """Return a kind.

    Raises
    ------
    UseError
        If there is none of that name.

    Examples
    --------
    >>> kind_named("acescg-exr").space
    'lin_ap1_scene'
    """
    found = KINDS.get(name)
    if found is None:
        raise UseError(f"Nothing is handed over as {name!r}.", f"Use one of: {', '.join(KINDS)}.")
    return found
