"""What each patch looks like under each way to read its input, in a working space.

All values come from OpenColorIO and are linear in the working space, for light of strength 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.lamp import temperature_factor
from primecoat.colour.locus import planckian_xy
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import primaries_of, xy_to_rgb
from primecoat.proof.card.inputs import (
    CODES,
    CONSTANTS,
    DATA,
    GREYS,
    INPUTS,
    KELVIN,
    LAMP_COLOUR,
    LAMP_SURFACES,
    LINEAR,
    NORMAL_CODES,
    SKY,
    SRGB,
    WARM_SURFACES,
)
from primecoat.proof.card.layout import EMISSIONS, MAIN, PATCHES, direction, share
from primecoat.proof.card.model import NOT_THERE

Values = NDArray[np.float64]
"""Shape (fields, 3)."""

CURVE_ONLY: Final = "srgb_curve_only"
"""The sRGB curve undone, primaries taken as those of the working space."""
GREEN_DOWN: Final = "data_green_down"
SRGB_GREEN_DOWN: Final = "srgb_rec709_scene_green_down"
KELVIN_READ: Final = "kelvin"
KELVIN_RAW: Final = "kelvin_not_converted"
KELVIN_BARE: Final = "kelvin_not_adapted"
IGNORED: Final = "ignored"
ABSENT: Final = NOT_THERE
CUT: Final = "_cut_at_1"

WORDS: Final[dict[str, str]] = {
    CURVE_ONLY: "sRGB curve undone, primaries not converted",
    GREEN_DOWN: "data, green taken as down",
    SRGB_GREEN_DOWN: "decoded as sRGB, green taken as down",
    KELVIN_READ: "a black body, in the working space",
    KELVIN_RAW: "a black body in Rec.709 numbers, not converted",
    KELVIN_BARE: "a black body without adaptation to the white",
    IGNORED: "white: the colour is ignored",
    ABSENT: "nothing is there",
}
"""Readings that are no Color Interop ID, for people."""

_COLOURS: Final = (
    *(SRGB, LINEAR, "srgb_p3d65_scene", "lin_p3d65_scene", "srgb_ap1_scene", "lin_ap1_scene"),
    *("g22_rec709_scene", "g24_rec709_scene", "g22_ap1_scene", "g22_adobergb_scene"),
    *("lin_rec2020_scene", "lin_ap0_scene", DATA, CURVE_ONLY),
)
_VALUES: Final = (LINEAR, DATA, "lin_ap1_scene", SRGB, CURVE_ONLY, "srgb_ap1_scene")
_GREYS: Final = (DATA, SRGB, "g22_rec709_scene", "g24_rec709_scene")

_SAME: Final = 1e-4
"""Differences up to this share of the greatest value are none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One way to read an input, and what its fields are then.

    Parameters
    ----------
    readings
        Names of it: several where the working space makes them the same.
    values
        Shape (fields, 3); for lights the colour, shape (1, 3).
    """

    readings: tuple[str, ...]
    values: Values

    def named(self, made_as: str) -> str:
        """Return the name it goes by: what the input was made as, or data, if it is that."""
        return next((n for n in (made_as, DATA) if n in self.readings), self.readings[0])


def read_as(values: Values, reading: str, working: str, config: str) -> Values:
    """Return numbers read as something, linear in the working space."""
    if reading == DATA:
        return np.asarray(values, np.float64)
    if reading == CURVE_ONLY:
        return np.asarray(convert(values, SRGB, LINEAR, config), np.float64)
    return np.asarray(convert(values, reading, working, config), np.float64)


@lru_cache(maxsize=32)
def candidates(working: str, config: str) -> Mapping[str, tuple[Candidate, ...]]:
    """Return the ways to read each input in a working space, by key.

    Pictures of colour share the ways of ``token_color``.
    """
    front = _front()
    codes = CODES / 255.0

    def ways(values: Values, readings: Iterable[str], factor: float = 1.0) -> tuple[Candidate, ...]:
        return _merged((name, factor * read_as(values, name, working, config)) for name in readings)

    colours = (
        *ways(codes, _COLOURS, front),
        Candidate(readings=(ABSENT,), values=np.zeros(codes.shape)),
    )
    return {
        **{key: colours for key, given in INPUTS.items() if given.colour_picture},
        "grey_data": _merged(
            (name, front * (1 - _grey(name, config))[:, None] * np.ones(3)) for name in _GREYS
        ),
        "normal_map": _merged(_normals(config)),
        "constant": ways(np.array(CONSTANTS), _VALUES),
        "emission": ways(np.array(EMISSIONS)[:, None] * np.ones(3), (LINEAR, SRGB)),
        "light_by_colour": (
            *_merged(
                (name, values)
                for name, values in (
                    *((n, read_as(np.array([LAMP_COLOUR]), n, working, config)) for n in _VALUES),
                    (IGNORED, np.ones((1, 3))),
                    (ABSENT, np.zeros((1, 3))),
                )
            ),
        ),
        "light_by_temperature": _merged(_kelvins(working, config)),
        "environment": _merged(_skies(working, config)),
    }


def white_wedge() -> Values:
    """Return the white patches of the wedge, shape (fields, 3)."""
    shares = [share(patch) for patch in PATCHES if patch.given == "white"]
    return np.array(shares)[:, None] * np.ones(3)


def lit_constants(candidate: Candidate) -> Values:
    """Return the constant patches in the main light."""
    return _front() * candidate.values


def lamp_patches(lamp: Candidate, constants: Candidate, given: str) -> Values:
    """Return the patches of a lamp: its colour times what they are made of."""
    surfaces: Sequence[int | None] = LAMP_SURFACES if given == "light_by_colour" else WARM_SURFACES
    white = np.ones(3)
    made = np.array([white if n is None else constants.values[n] for n in surfaces])
    shares = np.array([share(patch) for patch in PATCHES if patch.given == given])
    return np.asarray(shares[:, None] * made * lamp.values)


def _front() -> float:
    return float(direction(*MAIN)[2])


def _grey(reading: str, config: str) -> NDArray[np.float64]:
    numbers = np.repeat((GREYS / 255.0)[:, None], 3, axis=1)
    return read_as(numbers, reading, LINEAR, config)[:, 0]


def _normals(config: str) -> Iterable[tuple[str, Values]]:
    light = direction(*MAIN)
    for name, reading, down in (
        (DATA, DATA, False),
        (SRGB, SRGB, False),
        (GREEN_DOWN, DATA, True),
        (SRGB_GREEN_DOWN, SRGB, True),
    ):
        bent = read_as(NORMAL_CODES / 255.0, reading, LINEAR, config) * 2 - 1
        if down:
            bent[:, 1] *= -1
        bent /= np.linalg.norm(bent, axis=1, keepdims=True)
        yield name, np.maximum(bent @ light, 0.0)[:, None] * np.ones(3)


def _kelvins(working: str, config: str) -> Iterable[tuple[str, Values]]:
    factor = np.array([temperature_factor(KELVIN)])
    yield KELVIN_READ, read_as(factor, LINEAR, working, config)
    yield KELVIN_RAW, factor
    yield KELVIN_BARE, np.array([xy_to_rgb(planckian_xy(KELVIN), primaries_of(working))])
    yield IGNORED, np.ones((1, 3))
    yield ABSENT, np.zeros((1, 3))


def _skies(working: str, config: str) -> Iterable[tuple[str, Values]]:
    light = np.array(SKY)
    for reading in (LINEAR, DATA, "lin_ap1_scene", SRGB, CURVE_ONLY):
        yield reading, read_as(light, reading, working, config)
        yield reading + CUT, read_as(np.minimum(light, 1.0), reading, working, config)
    yield ABSENT, np.zeros((2, 3))


def _merged(named: Iterable[tuple[str, Values]]) -> tuple[Candidate, ...]:
    """Return candidates; what gives the same values up to rounding is one."""
    found: list[tuple[list[str], Values]] = []
    for name, values in named:
        for names, known in found:
            if np.abs(values - known).max() <= _SAME * max(1e-9, float(np.abs(known).max())):
                names.append(name)
                break
        else:
            found.append(([name], values))
    return tuple(Candidate(readings=tuple(names), values=values) for names, values in found)


def words_of(reading: str) -> str:
    """Return a reading for people.

    Examples
    --------
    >>> words_of("lin_rec709_scene_cut_at_1")
    'lin_rec709_scene, cut off at 1'
    """
    if reading.endswith(CUT):
        return f"{words_of(reading.removesuffix(CUT))}, cut off at 1"
    return WORDS.get(reading, reading)
