"""How every picked colour and light must be read, and what it is in the working space."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from primecoat.colour.ids import DATA, SPACES, UNKNOWN, reading_named
from primecoat.colour.lamp import USDLUX_RANGE, lamp_rgb, linear_of
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
    made_in
        For a light whose colour is multiplied by that of a temperature: the linear space in which
        that is done, which is the one the scene was made in. ``working`` is the product.
    """

    scene: Scene
    value: ColourValue
    reading: str
    why: str
    working: Triple | None
    working_maximum: Triple | None = None
    made_in: str = ""


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
        _lamp(scene, value, reading, why, from_space, to_space, config)
        if value.kelvin is not None and value.fixed is None
        else ColourReading(
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


def _lamp(
    scene: Scene,
    value: ColourValue,
    reading: str,
    why: str,
    from_space: str,
    to_space: str,
    config: str,
) -> ColourReading:
    """Return the reading of a light whose colour is multiplied by that of a temperature."""
    told = f"{why}; times {_kelvins(value)} by Planck's law"
    if reading in (UNKNOWN, DATA) or not value.samples:
        if not value.samples:
            told = f"{why}; its temperature is connected, or switched by time: no product is made"
        return ColourReading(scene=scene, value=value, reading=reading, why=told, working=None)
    stated = reading_named(scene.working) if scene.working else None
    known = [name for name in (stated, from_space, reading) if name in SPACES]
    made_in = linear_of(known[0] or reading)
    rows = lamp_rgb(
        [colour for colour, _ in value.samples],
        [kelvin for _, kelvin in value.samples],
        *(reading, made_in, to_space, config),
    )
    least, greatest = rows.min(axis=0).tolist(), rows.max(axis=0).tolist()
    return ColourReading(
        scene=scene,
        value=value,
        reading=reading,
        why=f"{told}, multiplied in {made_in}, adapted by Bradford",
        working=(least[0], least[1], least[2]),
        working_maximum=(greatest[0], greatest[1], greatest[2]) if len(rows) > 1 else None,
        made_in=made_in,
    )


def _kelvins(value: ColourValue) -> str:
    kelvins = [kelvin for _, kelvin in value.samples if kelvin is not None]
    least, most = min(kelvins, default=value.kelvin), max(kelvins, default=value.kelvin)
    within = f"{least:g} K" if least == most else f"{least:g} to {most:g} K"
    low, high = USDLUX_RANGE
    outside = least is not None and most is not None and (least < low or most > high)
    return within + (f" (taken within {low:g} to {high:g} K)" if outside else "")


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
        defined = f": {value.definition}" if value.definition else ""
        return UNKNOWN, f"nobody knows the declared name {value.declared!r}{defined}"
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
