"""One colour in every space of the vocabulary, and what can be said of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.albedo import DARKEST, LIGHTEST
from primecoat.colour.gamut import GAMUTS, Membership, membership
from primecoat.colour.ids import SPACES, Curve
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, convert, has_space
from primecoat.colour.picked import is_temperature, parse_colour, space_named
from primecoat.colour.primaries import (
    PRIMARIES,
    Chromaticity,
    Triple,
    rgb_to_xyz_matrix,
    xyz_to_xy,
)
from primecoat.colour.products import check_linear
from primecoat.colour.seen import Codes, Seen, Sought, codes_of, see, seek
from primecoat.colour.temperature import Temperature, temperature_of
from primecoat.errors import UseError

Albedo = Literal["plausible", "too dark", "too light", "no surface"]

REC709: Final = "lin_rec709_scene"

_IN_EIGHT_BITS: Final[tuple[Curve, ...]] = ("srgb", "g18", "g22", "g24", "g26")
"""Curves that pictures of 8 bits are stored with; PQ and HLG need 10 (ITU-R BT.2100)."""

_ROUNDING: Final = 0.5 / 255.0
_NEGLIGIBLE: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class InSpace:
    """The colour in one space.

    Parameters
    ----------
    space
        Color Interop ID.
    rgb
        Numbers, not clamped.
    codes
        8-bit codes; None for linear, PQ and HLG, and where a number is outside 0 to 1.
    """

    space: str
    rgb: Triple
    codes: Codes | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Swatch:
    """One colour in every space.

    Parameters
    ----------
    source, rgb
        The numbers given, and the Color Interop ID that they are read by.
    working
        Color Interop ID of the linear space to work in.
    spaces
        The colour in each space that the config has, in the vocabulary's order.
    xyz
        CIE X, Y, Z under D65 (scenes of another white adapted by Bradford); white has Y = 1.
    xy
        Chromaticity; None for black.
    temperature
        Correlated colour temperature; None for black.
    albedo
        Whether a surface that is no metal can have this colour.
    gamuts
        What each set of primaries makes of it.
    seen
        The colour through a view, if one was asked for.
    sought
        The search behind it, if it is the scene value of a display colour.
    config
        OpenColorIO config that converted.
    """

    source: str
    rgb: Triple
    working: str
    spaces: tuple[InSpace, ...]
    xyz: Triple
    xy: Chromaticity | None
    temperature: Temperature | None
    albedo: Albedo
    gamuts: tuple[Membership, ...]
    config: str
    seen: Seen | None = None
    sought: Sought | None = None

    def numbers(self, space: str) -> Triple:
        """Return the colour in one space; KeyError if the config does not have it."""
        return {found.space: found.rgb for found in self.spaces}[space]


def make_swatch(
    rgb: Triple,
    source: str,
    *,
    working: str = "lin_ap1_scene",
    config: str = DEFAULT_CONFIG,
    seen: Seen | None = None,
    sought: Sought | None = None,
) -> Swatch:
    """Return a colour in every space of the vocabulary that the config has.

    Display spaces are reached through the config's default view transform, which in the built-in
    configs changes no colour; what a view makes of the colour is ``seen``.

    Parameters
    ----------
    rgb
        Three finite numbers.
    source
        Their Color Interop ID.
    working
        Color Interop ID of a linear space.

    Raises
    ------
    UseError
        If the config lacks the source, the working space or linear Rec.709, the working space is
        not linear, or the numbers leave what can be worked out in it.

    Examples
    --------
    >>> red = make_swatch((1.0, 0.0, 0.0), "lin_rec709_scene")
    >>> [round(v, 6) for v in red.numbers("lin_ap1_scene")]
    [0.613097, 0.070194, 0.020616]
    """
    check_linear(working)
    spaces = tuple(
        _in_space(rgb, source, space, config)
        for space in SPACES
        if space in (source, working, REC709) or has_space(space, config)
    )
    rec709 = np.array(next(s.rgb for s in spaces if s.space == REC709))
    xyz = rgb_to_xyz_matrix(PRIMARIES["rec709"]) @ rec709
    # A few float32 steps of light have a sum, but no colour that could be told.
    xy = xyz_to_xy(xyz) if float(xyz.sum()) > _NEGLIGIBLE and xyz[1] > 0.0 else None
    x, y, z = xyz.tolist()
    in_working = next(s.rgb for s in spaces if s.space == working)
    return Swatch(
        source=source,
        rgb=rgb,
        working=working,
        spaces=spaces,
        xyz=(x, y, z),
        xy=xy,
        temperature=temperature_of(xy) if xy else None,
        albedo=_albedo(y, in_working),
        gamuts=tuple(membership(rec709, name) for name in GAMUTS),
        config=config,
        seen=seen,
        sought=sought,
    )


def _in_space(rgb: Triple, source: str, space: str, config: str) -> InSpace:
    found = _finite(convert(rgb, source, space, config), space) if space != source else rgb
    whole = all(-_ROUNDING <= value <= 1.0 + _ROUNDING for value in found)
    coded = SPACES[space].curve in _IN_EIGHT_BITS and whole
    return InSpace(space=space, rgb=found, codes=codes_of(found) if coded else None)


def _finite(values: NDArray[np.float32], space: str) -> Triple:
    if not np.isfinite(values).all():
        raise UseError(f"The colour has no finite numbers in {space}.", "Give smaller numbers.")
    red, green, blue = values.tolist()
    return red, green, blue


def _albedo(luminance: float, working: Triple) -> Albedo:
    if min(working) < -_NEGLIGIBLE * max(1.0, max(working)):
        return "no surface"
    if luminance > LIGHTEST or max(working) > 1.0 + _NEGLIGIBLE:
        return "too light"
    return "too dark" if luminance < DARKEST else "plausible"


def swatch_of(
    text: str,
    space: str | None = None,
    *,
    working: str = "lin_ap1_scene",
    config: str = DEFAULT_CONFIG,
    through: str | None = None,
    against: str | None = None,
    display: str = DEFAULT_DISPLAY,
) -> Swatch:
    """Return the swatch of a colour as a person writes it.

    Parameters
    ----------
    text
        As :func:`primecoat.colour.picked.parse_colour` takes it.
    space
        Name of the space of the numbers; ``#rrggbb`` is sRGB-encoded Rec.709 without it.
    through
        View to see the colour through.
    against
        View under which ``text`` is what the display shall show, in the display's own code
        values; the swatch is then that of the scene value.
    display
        Display of either view.

    Raises
    ------
    UseError
        If the text is no colour, a name names nothing, or the wishes contradict each other.

    Examples
    --------
    >>> [round(v, 4) for v in swatch_of("#808080").numbers("lin_ap1_scene")]
    [0.2159, 0.2159, 0.2159]
    >>> swatch_of("#595959", against="ACES 2.0 - SDR 100 nits (Rec.709)").sought.seen.codes
    (89, 89, 89)
    """
    picked = parse_colour(text)
    named = space_named(space) if space else picked.space
    if is_temperature(text) and (space or against):
        raise UseError("A temperature is light of its own.", "Leave --in and --against out.")
    if against:
        if space or through:
            raise UseError(
                "With --against the colour is in the display's own code values.",
                "Leave --in and --through out.",
            )
        check_linear(working)
        sought = seek(picked.rgb, working, display=display, view=against, config=config)
        return make_swatch(
            sought.scene, working, working=working, config=config, seen=sought.seen, sought=sought
        )
    if named is None:
        raise UseError(f"{text} can be any space's numbers.", "Name the space with --in SPACE.")
    seen = None
    if through:
        if SPACES[named].referred == "display":
            raise UseError(
                f"{named} is light on a display, and no view is put over that.",
                "Use --against for the scene value, or name a scene-referred space.",
            )
        seen = see(picked.rgb, named, display=display, view=through, config=config)
    return make_swatch(picked.rgb, named, working=working, config=config, seen=seen)
