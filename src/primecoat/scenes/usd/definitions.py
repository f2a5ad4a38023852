"""Colour spaces that a stage defines itself: by primaries, white, gamma and linear bias.

Source: OpenUSD 26.11, ``UsdColorSpaceDefinitionAPI``. A name means what the nearest prim at or
above defines it to; a name that the library knows itself cannot be defined anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from primecoat.colour.ids import SCENE_SPACES, SPACES, UNKNOWN
from primecoat.colour.primaries import (
    D65,
    PRIMARIES,
    RgbPrimaries,
    bradford_matrix,
    rgb_to_xyz_matrix,
    xyz_to_xy,
)
from primecoat.scenes.usd import door

TOLERANCE = 1e-3
"""How far a chromaticity, a gamma or a bias may lie from that of a Color Interop ID."""

CURVES = {
    "linear": (1.0, 0.0),
    "srgb": (2.4, 0.055),
    "g18": (1.8, 0.0),
    "g22": (2.2, 0.0),
    "g24": (2.4, 0.0),
}
"""Gamma and linear bias of each curve. Source: ``GfColorSpace`` of usd-core 26.11; for sRGB the
numbers are those of IEC 61966-2-1. Adobe RGB's own gamma, 563/256, is within the tolerance."""

_API = "ColorSpaceDefinitionAPI:"
_ROLES = ("redChroma", "greenChroma", "blueChroma", "whitePoint")


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """What a stage makes of a name.

    Parameters
    ----------
    reading
        Color Interop ID of the same primaries and curve; ``unknown`` if there is none.
    words
        The definition and where it stands.
    """

    reading: str
    words: str


def interop_id(primaries: RgbPrimaries, gamma: float, bias: float) -> str | None:
    """Return the Color Interop ID whose primaries, white and curve are those given, or None.

    AP0 and AP1 are known by their own white and, as OpenUSD writes them itself, adapted to D65
    by Bradford.

    Examples
    --------
    >>> interop_id(PRIMARIES["p3d65"], 2.4, 0.055), interop_id(PRIMARIES["p3d65"], 2.0, 0.0)
    ('srgb_p3d65_scene', None)
    """
    given = _points(primaries)
    for name in SCENE_SPACES:
        space = SPACES[name]
        curve = CURVES[space.curve]
        if max(abs(gamma - curve[0]), abs(bias - curve[1])) > TOLERANCE:
            continue
        own = PRIMARIES[space.primaries]
        if any(
            np.abs(given - _points(known)).max() <= TOLERANCE + 1e-7  # the stage holds float32
            for known in (own, _adapted_to_d65(own))
        ):
            return name
    return None


def definition_at(prim: Any, name: str) -> Definition | None:
    """Return what one prim itself defines a name to; None if it does not."""
    for schema in prim.GetAppliedSchemas():
        if schema.startswith(_API):
            prefix = f"colorSpaceDefinition:{schema.removeprefix(_API)}:"
            if str(prim.GetAttribute(f"{prefix}name").Get() or "") == name:
                return _definition(prim, prefix)
    return None


def _definition(prim: Any, prefix: str) -> Definition:
    values = [prim.GetAttribute(f"{prefix}{role}").Get() for role in _ROLES]
    points = [(float(value[0]), float(value[1])) for value in values]
    gamma = float(prim.GetAttribute(f"{prefix}gamma").Get())
    bias = float(prim.GetAttribute(f"{prefix}linearBias").Get())
    red, green, blue, white = points
    primaries = RgbPrimaries(red=red, green=green, blue=blue, white=white)
    reading = interop_id(primaries, gamma, bias)
    numbers = ", ".join(f"({x:.6g}, {y:.6g})" for x, y in points)
    words = (
        f"the scene defines it by the primaries and white {numbers}, gamma {gamma:.6g} and linear "
        f"bias {bias:.6g}, which is {reading or 'no space that has a Color Interop ID'}"
    )
    return Definition(reading=reading or UNKNOWN, words=words)


def known_to_library(name: str) -> bool:
    """Whether OpenUSD knows a colour space by this name without any definition."""
    return bool(door.Gf.ColorSpace.IsValid(name))


def _points(primaries: RgbPrimaries) -> Any:
    return np.array([primaries.red, primaries.green, primaries.blue, primaries.white])


@lru_cache(maxsize=16)
def _adapted_to_d65(primaries: RgbPrimaries) -> RgbPrimaries:
    if primaries.white == D65:
        return primaries
    columns = (bradford_matrix(primaries.white, D65) @ rgb_to_xyz_matrix(primaries)).T
    red, green, blue = (xyz_to_xy(column) for column in columns)
    return RgbPrimaries(red=red, green=green, blue=blue, white=D65)
