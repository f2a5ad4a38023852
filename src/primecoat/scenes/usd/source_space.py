"""How ``sourceColorSpace`` of a UsdUVTexture and ``colorSpace`` of its file go together.

Source: *UsdPreviewSurface Specification* 2.5, Texture Reader: ``raw`` uses the numbers as they
are, ``sRGB`` undoes the sRGB curve and leaves the gamut alone. ``colorSpace`` names curve and gamut
(OpenUSD 26.11 takes Color Interop IDs). They agree if the curve is the same:

=====================  ====================
``colorSpace``         ``sourceColorSpace``
=====================  ====================
``data``               ``raw``
``lin_*_scene``        ``raw``
``srgb_*_scene``       ``sRGB``
``g18_*``, ``g22_*``,  no word: refused
``g24_*``
display spaces         no name: refused
=====================  ====================
"""

from __future__ import annotations

from primecoat.colour.ids import DATA, SPACES, UNKNOWN, reading_named

MEANING = {"raw": DATA, "sRGB": "srgb_rec709_scene"}
"""What a word of ``sourceColorSpace`` declares by itself; ``auto`` declares nothing."""

WORDLESS = tuple(
    space.id
    for space in SPACES.values()
    if space.referred == "scene" and space.curve not in ("linear", "srgb")
)
"""Readings for which ``sourceColorSpace`` has no word: pure gammas."""

CURVE_ONLY = "sourceColorSpace = sRGB names the curve only; no gamut step follows from it"


def source_word(reading: str) -> str | None:
    """Return the ``sourceColorSpace`` that agrees with a reading; None if there is none.

    Examples
    --------
    >>> [source_word(r) for r in ("data", "lin_ap1_scene", "srgb_p3d65_scene", "g22_ap1_scene")]
    ['raw', 'raw', 'sRGB', None]
    """
    if reading == DATA:
        return "raw"
    space = SPACES.get(reading)
    if space is None or space.referred == "display":
        return None
    return {"linear": "raw", "srgb": "sRGB"}.get(space.curve)


def why_not(reading: str, *, texture_reader: bool) -> str:
    """Return why a reading cannot be declared, in a sentence without its end; empty if it can.

    Parameters
    ----------
    texture_reader
        Whether it is for a UsdUVTexture, which needs a word of ``sourceColorSpace`` too.
    """
    space = SPACES.get(reading)
    if reading != DATA and space is None:
        return f"{reading} is no reading that can be declared"
    if space is not None and space.referred == "display":
        return f"OpenUSD has no name for {reading}: its names are for light in the scene"
    if texture_reader and source_word(reading) is None:
        return (
            f"a UsdUVTexture can undo the sRGB curve or none; {reading} has a pure gamma, for "
            "which sourceColorSpace has no word"
        )
    return ""


def contradiction(own: str, source: str, named: str | None = None) -> str:
    """Return how two declarations contradict each other; empty if they do not.

    Parameters
    ----------
    own
        ``colorSpace`` of the file attribute as written; empty if it has none.
    source
        ``sourceColorSpace`` as written.
    named
        Reading that the stage itself gives ``own``, if it defines it.

    Examples
    --------
    >>> contradiction("srgb_rec709_scene", "raw")
    'colorSpace = srgb_rec709_scene asks for a decode, sourceColorSpace = raw for none'
    >>> contradiction("srgb_p3d65_scene", "sRGB"), contradiction("lin_ap1_scene", "auto")
    ('', '')
    """
    reading = named or (reading_named(own) if own else None)
    if reading is None or reading == UNKNOWN:
        return ""
    if source not in MEANING or source_word(reading) == source:
        return ""
    wants = "no sRGB decode" if source_word(reading) == "raw" else "a decode"
    if source_word(reading) is None:
        wants = "another decode"
    asks = "for none" if source == "raw" else "for that of sRGB"
    return f"colorSpace = {own} asks for {wants}, sourceColorSpace = {source} {asks}"
