"""Readings and the names that MaterialX 1.39 has for them.

Source: the transforms in the libraries of MaterialX 1.39.5 (``cmlib_defs.mtlx``), and the
specification's section *Color Spaces and Color Management Systems* for ``none``. What the library
makes of each name was measured: docs/decisions/0009-materialx.md.
"""

from __future__ import annotations

from primecoat.colour.ids import DATA, SPACES

NO_CONVERSION = "none"
"""MaterialX: numbers under this name are used as they stand."""

_NAMES = {
    "lin_rec709_scene": "lin_rec709",
    "g18_rec709_scene": "g18_rec709",
    "g22_rec709_scene": "g22_rec709",
    "srgb_rec709_scene": "srgb_texture",
    "lin_ap1_scene": "acescg",
    "g22_ap1_scene": "g22_ap1",
    "lin_adobergb_scene": "lin_adobergb",
    "g22_adobergb_scene": "adobergb",
    "lin_p3d65_scene": "lin_displayp3",
    "srgb_p3d65_scene": "srgb_displayp3",
    DATA: NO_CONVERSION,
}
"""Reading to the name that is written for it."""

_READ_TOO = {
    "lin_ap1": "lin_ap1_scene",
    "gamma18": "g18_rec709_scene",
    "gamma22": "g22_rec709_scene",
    "gamma24": "g24_rec709_scene",
    "rec709_display": "g24_rec709_scene",
    "lin_srgb": "lin_rec709_scene",
    "raw": DATA,
    "data": DATA,
}
"""Further names that stand in documents. ``rec709_display`` is a pure power of 2.4 in the library;
it is not written, because its name speaks of a display. Three the library does not know."""

_READINGS = (
    {space: space for space in SPACES}
    | {name: reading for reading, name in _NAMES.items()}
    | _READ_TOO
)

CONVERTED: frozenset[str] = (
    frozenset(_NAMES.values())
    | {"lin_ap1", "gamma18", "gamma22", "gamma24", "rec709_display"}
    | frozenset(_NAMES)
) - {NO_CONVERSION, DATA, "lin_rec709_scene"}
"""Names from which the library's own shader generation converts to ``lin_rec709``, and that name.

Since 1.39.5 these are most Color Interop IDs too; the older names are written all the same.
"""


def space_name(reading: str) -> str:
    """Return the name that MaterialX has for a reading; empty if it has none.

    Examples
    --------
    >>> space_name("srgb_rec709_scene"), space_name("data"), space_name("lin_rec2020_scene")
    ('srgb_texture', 'none', '')
    """
    return _NAMES.get(reading, "")


def reading_of(name: str) -> str | None:
    """Return the reading that a name in a MaterialX document stands for, or None.

    Names are compared as the library does, letter by letter.

    Examples
    --------
    >>> reading_of("acescg"), reading_of("none"), reading_of("ACEScg")
    ('lin_ap1_scene', 'data', None)
    """
    return _READINGS.get(name)


def why_no_name(reading: str) -> str:
    """Return why a reading cannot be declared in MaterialX, in a sentence without its end."""
    return (
        f"MaterialX 1.39 has no name for {reading}; under a name that its libraries do not know "
        "the numbers would be used unconverted"
    )
