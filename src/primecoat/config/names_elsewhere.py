"""What a colour space's name means outside the config: to the vocabulary, MaterialX and OpenUSD.

The tables are those of ``colour/ids.py``, ``scenes/materialx_names.py`` and
``scenes/usd/source_space.py``; here is only the order in which they are asked, and why some names
have no answer. A reading that an ICC profile or code points come to is a Color Interop ID already.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from primecoat.colour.ids import reading_named
from primecoat.scenes import materialx_names
from primecoat.scenes.usd.source_space import MEANING

OPENCOLORIO: Final = "ocio:"
"""Namespace of the IDs that OpenColorIO's built-in configs add to the Color Interop Forum's."""

NO_SPACE: Final[dict[str, str]] = {
    "": "an empty name says nothing",
    "auto": "auto leaves it to the program that reads the file; it is no colour space",
    "unknown": "unknown says that nobody knows the colour space",
    "g18_ap1": "gamma 1.8 with AP1 primaries has no Color Interop ID",
    "ciexyz": "CIE XYZ without a white has no Color Interop ID",
}
"""Names of MaterialX and OpenUSD that stand for no Color Interop ID, and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """What a name means by itself.

    Parameters
    ----------
    reading
        Color Interop ID or ``data``; None if it means no one of them.
    words
        Who says so, or why there is none.
    """

    reading: str | None
    words: str


def named_elsewhere(name: str) -> Elsewhere:
    """Return what a name means where no config says it.

    A bare ``sRGB``, in any case, is the whole encoding of IEC 61966-2-1, curve and primaries, for
    light in the scene: the standard of that name defines both, and it is what MaterialX's
    ``srgb_texture`` and OpenUSD's ``sourceColorSpace`` decode by the word. It is asked last and
    never overrules a space that a config itself calls sRGB.

    Examples
    --------
    >>> named_elsewhere("acescg").reading, named_elsewhere("sRGB").reading
    ('lin_ap1_scene', 'srgb_rec709_scene')
    >>> named_elsewhere("auto").words
    'auto leaves it to the program that reads the file; it is no colour space'
    """
    plain = name.strip()
    known = reading_named(plain.removeprefix(OPENCOLORIO))
    if known is not None:
        return Elsewhere(reading=known, words=f"{name} is a well-known name of {known}")
    known = materialx_names.reading_of(plain)
    if known is not None:
        return Elsewhere(reading=known, words=f"{name} is MaterialX's name of {known}")
    for word, meaning in MEANING.items():
        if word.lower() == plain.lower():
            return Elsewhere(
                reading=meaning,
                words=f"a bare {name} is taken as {meaning}: the standard of that name defines "
                "curve and primaries",
            )
    why = NO_SPACE.get(plain.lower(), f"{name} is in no list of colour space names")
    return Elsewhere(reading=None, words=why)
