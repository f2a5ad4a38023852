"""How every picked colour and light must be read, and what it is in the working space."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from primecoat.colour.ids import DATA, UNKNOWN, reading_named
from primecoat.colour.ocio import convert
from primecoat.scenes.model import ColourValue, Scene

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourReading:
    """One colour value with its reading, why, and its numbers in the working space.

    Parameters
    ----------
    working
        Numbers in the target space; None while the reading is unknown.
    working_maximum
        For many values at one place: the greatest ones, converted like ``working``.
    """

    scene: Scene
    value: ColourValue
    reading: str
    why: str
    working: Triple | None
    working_maximum: Triple | None = None


def read_colours(
    scenes: tuple[Scene, ...], *, from_space: str, to_space: str, config: str, lights: bool = False
) -> tuple[ColourReading, ...]:
    """Read all picked colours, or all lights, of some scenes.

    Parameters
    ----------
    from_space
        Working space the scenes were made in; ``unknown`` if nobody says.
    to_space
        Working space to give numbers for.
    """
    found = []
    for scene in scenes:
        for value in scene.lights if lights else scene.colours:
            reading, why = _reading(value, from_space)
            found.append((scene, value, reading, why))
    working = _convert([(v.value, r) for _, v, r, _ in found], to_space, config)
    most = _convert([(v.maximum or v.value, r) for _, v, r, _ in found], to_space, config)
    return tuple(
        ColourReading(
            scene=scene,
            value=value,
            reading=reading,
            why=why,
            working=numbers,
            working_maximum=greatest if value.maximum else None,
        )
        for (scene, value, reading, why), numbers, greatest in zip(
            found, working, most, strict=True
        )
    )


def _reading(value: ColourValue, from_space: str) -> tuple[str, str]:
    if value.exception:
        return DATA, value.exception
    if value.kelvin is not None and value.fixed is not None:
        return value.fixed, f"{value.kelvin:g} K, worked out by Planck's law, adapted by Bradford"
    if value.fixed is not None:
        return value.fixed, "the scene's standard fixes it"
    if value.declared and value.declared != UNKNOWN:
        named = value.declared_reading
        if named is not None and named != DATA:
            return named, value.space_from or "the scene declares it"
        return UNKNOWN, f"nobody knows the declared name {value.declared!r}"
    if from_space != UNKNOWN:
        return from_space, "the working space that the scene was made in"
    named = reading_named(value.default) if value.default else None
    if named is not None:
        return named, value.space_from
    return UNKNOWN, "nothing says which numbers these are"


def _convert(values: list[tuple[Triple, str]], to_space: str, config: str) -> list[Triple | None]:
    result: list[Triple | None] = [None] * len(values)
    for reading in {reading for _, reading in values} - {UNKNOWN, DATA}:
        indices = [i for i, (_, r) in enumerate(values) if r == reading]
        rgb = convert(np.array([values[i][0] for i in indices]), reading, to_space, config)
        for index, row in zip(indices, rgb.tolist(), strict=True):
            result[index] = (row[0], row[1], row[2])
    return result
