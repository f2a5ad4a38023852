"""What can be handed over: the kinds of files, as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from primecoat.errors import UseError


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of file.

    Parameters
    ----------
    name
        What it is called.
    words
        What it is, for people.
    space
        Color Interop ID of its numbers.
    ending
        Of its file.
    numbers
        NumPy types that it may hold, the usual one first.
    compressions
        Ways to store it smaller, the usual one first.
    strict
        Whether it is SMPTE ST 2065-4, which allows no choice.
    """

    name: str
    words: str
    space: str
    ending: str
    numbers: tuple[str, ...]
    compressions: tuple[str, ...]
    strict: bool = False

    @property
    def display(self) -> bool:
        """Whether its numbers stand for light on a display: they went through a view."""
        return self.space.endswith("_display")

    @property
    def alpha(self) -> bool:
        """Whether it can hold alpha."""
        return self.ending != ".jpg"


_EXR = ("zip", "zips", "piz", "rle", "none")
_ALL: Final = (
    Kind(
        name="st2065-4",
        words="SMPTE ST 2065-4: ACES2065-1 in OpenEXR, half, not compressed",
        space="lin_ap0_scene",
        ending=".exr",
        numbers=("float16",),
        compressions=("none",),
        strict=True,
    ),
    Kind(
        name="ap0-exr",
        words="ACES2065-1 (AP0) in OpenEXR",
        space="lin_ap0_scene",
        ending=".exr",
        numbers=("float16", "float32"),
        compressions=_EXR,
    ),
    Kind(
        name="acescg-exr",
        words="ACEScg (AP1) in OpenEXR",
        space="lin_ap1_scene",
        ending=".exr",
        numbers=("float16", "float32"),
        compressions=_EXR,
    ),
    *(
        Kind(
            name=f"{short}-{form}",
            words=f"{words} as {form.upper()}",
            space=space,
            ending=ending,
            numbers=numbers,
            compressions=compressions,
        )
        for short, words, space in (
            ("srgb", "sRGB", "srgb_rec709_display"),
            ("p3", "Display P3", "srgb_p3d65_display"),
        )
        for form, ending, numbers, compressions in (
            ("png", ".png", ("uint8", "uint16"), ("zip",)),
            ("jpeg", ".jpg", ("uint8",), ("jpeg",)),
            ("tiff", ".tif", ("uint16", "uint8"), ("zip", "none")),
        )
    ),
    Kind(
        name="pq-png",
        words="Rec.2100 PQ as PNG",
        space="pq_rec2020_display",
        ending=".png",
        numbers=("uint16",),
        compressions=("zip",),
    ),
)

KINDS: Final = {kind.name: kind for kind in _ALL}

_NUMBERS: Final = {
    "half": "float16",
    "float": "float32",
    "8-bit": "uint8",
    "16-bit": "uint16",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Storing:
    """How a kind is stored this time: NumPy type and compression."""

    number: str
    compression: str


def kind_named(name: str) -> Kind:
    """Return a kind.

    Raises
    ------
    UseError
        If there is none of that name.
    """
    if name not in KINDS:
        raise UseError(f"Nothing is handed over as {name!r}.", f"Use one of: {', '.join(KINDS)}.")
    return KINDS[name]


def storing(kind: Kind, number: str | None = None, compression: str | None = None) -> Storing:
    """Return how a kind is stored.

    Parameters
    ----------
    number
        ``half``, ``float``, ``8-bit`` or ``16-bit``; None for the usual one.
    compression
        None for the usual one.

    Raises
    ------
    UseError
        If the kind does not allow it.

    Examples
    --------
    >>> storing(KINDS["ap0-exr"], "float").number
    'float32'
    >>> storing(KINDS["st2065-4"], compression="piz")
    Traceback (most recent call last):
    primecoat.errors.UseError: SMPTE ST 2065-4 is not stored with piz. Use none.
    """
    title = "SMPTE ST 2065-4" if kind.strict else kind.name
    stored = kind.numbers[0] if number is None else _NUMBERS.get(number, number)
    if stored not in kind.numbers:
        known = [word for word, own in _NUMBERS.items() if own in kind.numbers]
        raise UseError(f"{title} does not hold {number} numbers.", f"Use {' or '.join(known)}.")
    packed = kind.compressions[0] if compression is None else compression
    if packed not in kind.compressions:
        raise UseError(
            f"{title} is not stored with {packed}.", f"Use {' or '.join(kind.compressions)}."
        )
    return Storing(number=stored, compression=packed)
