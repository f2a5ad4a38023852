"""Surfaces of a scene, in linear Rec.709 light, as a scenario reads their pictures and colours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.colour.lamp import lamp_rgb
from primecoat.colour.ocio import convert
from primecoat.errors import ImageError
from primecoat.images.channels import alpha_channel, colour_channels
from primecoat.proof.paths.model import Input, Surface, Tiles, Triple
from primecoat.proof.paths.reduced import grid_of, reduced, side_for
from primecoat.proof.paths.scenario import TRACED, Scenario, reading_in
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import ImageReading, UseReading
from primecoat.scenes.wrapping import REPEATED, Wraps

Floats = NDArray[np.float32]

_LIGHT = "lin_rec709_scene"
"""Space that paths start from; see ``carried.py``."""

_WIDE = "lin_ap1_scene"

_GREY: Triple = (0.18, 0.18, 0.18)
"""Stands for a colour that a scene leaves to a picture which cannot be had."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """What a material says in numbers that are no colour.

    Parameters
    ----------
    metalness, roughness, opacity
        Constants; pictures are multiplied by them.
    cut_off
        Below this opacity is 0, else 1; None to take it as it is.
    normal_scale, emission_strength
        What sideways parts of normals, and emission, are multiplied by.
    gloss, mirrored
        As in :class:`Surface`.
    """

    metalness: float = 0.0
    roughness: float = 0.5
    opacity: float = 1.0
    cut_off: float | None = None
    normal_scale: float = 1.0
    emission_strength: float = 1.0
    gloss: float = 1.0
    mirrored: float = 0.04


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """An image in a slot, and what it shows beyond its edges."""

    image: ImageReading
    use: UseReading
    wraps: Wraps = REPEATED

    @property
    def tiles(self) -> Tiles:
        """How many tiles the image has across and up."""
        return grid_of(self.image.record)


@dataclass(slots=True)
class Pictures:
    """The pictures of a survey, decoded once for each way to read them.

    Parameters
    ----------
    survey
        What is known of them.
    problems
        Added to: pictures that cannot be decoded.
    """

    survey: Survey
    problems: dict[str, str] = field(default_factory=dict)
    _held: dict[tuple[str, str, str, str], Floats | None] = field(default_factory=dict)

    def light(self, bound: Bound, scenario: Scenario) -> Floats | None:
        """Return a colour picture as linear Rec.709, shape (height, width, 3).

        None where it cannot be had. One that is read as data gives its numbers to the working
        space as they are.
        """
        reading = reading_in(bound.use, bound.image.record.path, scenario)
        return self._picture(bound, reading, scenario.working, _LIGHT)

    def numbers(self, bound: Bound, scenario: Scenario) -> Floats | None:
        """Return a data picture's channels, shape (height, width, channels).

        One that is read as colour is turned into the working space, as a program does it.
        """
        reading = reading_in(bound.use, bound.image.record.path, scenario)
        return self._picture(bound, reading, scenario.working, scenario.working)

    def _picture(self, bound: Bound, reading: str, working: str, wanted: str) -> Floats | None:
        known = reading in SPACES
        source = reading if known else working
        if source == wanted or (known and wanted == _LIGHT):
            working = ""  # the same whatever the working space
        path, channels = bound.image.record.path, bound.use.scene_use.use.channels
        key = path, channels, f"{source} to {wanted}", working
        if key not in self._held:
            try:
                self._held[key] = self._decoded(bound.image, channels, source, wanted)
            except ImageError as error:
                self.problems[path] = str(error)
                self._held[key] = None
        return self._held[key]

    def _decoded(self, image: ImageReading, letters: str, source: str, wanted: str) -> Floats:
        header = image.record.header
        if header is None:
            raise ImageError(f"There is no picture {image.record.path}.", "See its finding.")
        colour, alpha = colour_channels(header.channels), alpha_channel(header.channels)
        config = self.survey.readings.config

        def turned(band: NDArray[np.float32]) -> Floats:
            if letters == "a":
                whole = np.ones((*band.shape[:2], 1), np.float32)
                return whole if alpha is None else band[..., alpha, None]
            three = band[..., list(colour) * (3 // len(colour))] if colour else band[..., [0] * 3]
            three = np.ascontiguousarray(three, np.float32)
            if source != wanted:
                three = convert(three, source, wanted, config)
            picked = ["rgb".index(letter) for letter in letters if letter in "rgb"]
            return np.asarray(three[..., picked or [0, 1, 2]], np.float32)

        return reduced(image.record, side_for(len(self.survey.readings.images)), turned)

    def colour(self, value: ColourReading, scenario: Scenario) -> Triple:
        """Return a picked colour as linear Rec.709."""
        rows = self.rows(np.array([value.value.value]), value, scenario)
        return _triple(rows[0])

    def rows(self, rows: NDArray[np.floating], value: ColourReading, scenario: Scenario) -> Floats:
        """Return many colours of one kind, shape (n, 3), as linear Rec.709."""
        known = scenario.colours and value.reading not in (UNKNOWN, DATA)
        source = value.reading if known else scenario.working
        return convert(np.asarray(rows, np.float32), source, _LIGHT, self.survey.readings.config)

    def lamp(self, value: ColourReading, scenario: Scenario) -> Triple:
        """Return the colour of a light as linear Rec.709, that of its temperature in it."""
        readings = self.survey.readings
        if scenario.lights and value.working is not None:
            return _triple(convert(value.working, readings.to_space, _LIGHT, readings.config))
        held = value.value
        if not held.samples:
            return _triple(convert(held.value, scenario.working, _LIGHT, readings.config))
        colour, kelvin = held.samples[0]
        working = scenario.working
        made = lamp_rgb([colour], [kelvin], working, working, _LIGHT, readings.config)
        return _triple(made[0])


def surface_of(
    name: str,
    slots: Mapping[str, Bound],
    colours: Mapping[str, ColourReading],
    numbers: Numbers,
    pictures: Pictures,
    scenario: Scenario,
) -> Surface:
    """Return a surface as a scenario reads it.

    Parameters
    ----------
    name
        As its owner calls it.
    slots, colours
        What plugs into it by slot: pictures, and constants that they are multiplied by.
    numbers
        The rest.
    """
    glossy = "glossiness" in slots
    base = _colour("base_color", slots, colours, pictures, scenario, missing=_GREY)
    emission = Input(factor=(0.0, 0.0, 0.0))
    if "emissive" in slots or "emissive" in colours:
        emission = _colour("emissive", slots, colours, pictures, scenario, missing=(0.0, 0.0, 0.0))
        red, green, blue = (part * numbers.emission_strength for part in emission.factor)
        emission = replace(emission, factor=(red, green, blue))
    word = "glossiness" if glossy else "roughness"
    roughness = _number(word, numbers.roughness, slots, pictures, scenario)
    if glossy and roughness.picture is not None:
        rough = 1.0 - roughness.picture * np.float32(1.0 - numbers.roughness)
        roughness = replace(roughness, factor=(1.0,), picture=rough)
    opacity = _number("opacity", numbers.opacity, slots, pictures, scenario)
    if numbers.cut_off is not None:
        opacity = _cut(opacity, numbers.cut_off)
    normal = pictures.numbers(slots["normal"], scenario) if "normal" in slots else None
    if normal is not None and normal.shape[2] < 3:
        normal = None
    if normal is not None and numbers.normal_scale != 1.0:
        scale = np.array((numbers.normal_scale, numbers.normal_scale, 1.0), np.float32)
        normal = (normal - 0.5) * scale + np.float32(0.5)
    return Surface(
        name=name,
        base_color=base,
        metalness=_number("metalness", numbers.metalness, slots, pictures, scenario),
        roughness=roughness,
        opacity=opacity,
        emission=emission,
        normal=normal,
        normal_tiles=slots["normal"].tiles if normal is not None else (1, 1),
        normal_wraps=slots["normal"].wraps if normal is not None else REPEATED,
        gloss=numbers.gloss,
        mirrored=numbers.mirrored,
    )


def within_ap1(picture: Floats, *, most: float = np.inf) -> Floats:
    """Return linear Rec.709 light with each number of AP1 from 0 to ``most``.

    Light outside Rec.709 is below 0, or above 1, in one of its numbers, and possible all the same.

    Examples
    --------
    >>> red = np.array([[[1.5, -0.1, 0.0]]], np.float32)  # outside Rec.709, inside AP1
    >>> bool(np.array_equal(within_ap1(red, most=1.0), red))
    True
    >>> within_ap1(np.full((1, 1, 3), 2.0, np.float32), most=1.0).round(3).tolist()
    [[[1.0, 1.0, 1.0]]]
    """
    wide = convert(picture, _LIGHT, _WIDE)
    if float(wide.min(initial=0.0)) >= 0.0 and float(wide.max(initial=0.0)) <= most:
        return picture
    return convert(np.clip(wide, 0.0, most).astype(np.float32), _WIDE, _LIGHT)


def slots_of(bound: Mapping[str, Bound] | list[Bound]) -> dict[str, Bound]:
    """Return images by slot, the first of each slot that is traced."""
    found: dict[str, Bound] = {}
    for one in bound.values() if isinstance(bound, Mapping) else bound:
        slot = one.use.scene_use.use.slot
        if slot in TRACED:
            found.setdefault(slot, one)
    return found


def _colour(
    slot: str,
    slots: Mapping[str, Bound],
    colours: Mapping[str, ColourReading],
    pictures: Pictures,
    scenario: Scenario,
    *,
    missing: Triple,
) -> Input:
    factor = pictures.colour(colours[slot], scenario) if slot in colours else (1.0, 1.0, 1.0)
    if slot not in slots:
        return Input(factor=factor)
    picture = pictures.light(slots[slot], scenario)
    if picture is None:
        return Input(factor=missing)
    if slot == "base_color":
        picture = within_ap1(picture, most=1.0)  # nothing sends back more than it gets
    bound = slots[slot]
    return Input(factor=factor, picture=picture, tiles=bound.tiles, wraps=bound.wraps)


def _number(
    slot: str,
    factor: float,
    slots: Mapping[str, Bound],
    pictures: Pictures,
    scenario: Scenario,
) -> Input:
    picture = pictures.numbers(slots[slot], scenario) if slot in slots else None
    if picture is None:
        return Input(factor=(factor,))
    bound = slots[slot]
    return Input(factor=(factor,), picture=picture, tiles=bound.tiles, wraps=bound.wraps)


def _cut(opacity: Input, at: float) -> Input:
    factor = opacity.factor[0]
    if opacity.picture is None:
        return Input(factor=(float(factor >= at),))
    held = (opacity.picture * factor >= at).astype(np.float32)
    return replace(opacity, factor=(1.0,), picture=held)


def _triple(row: NDArray[np.floating]) -> Triple:
    return float(row[0]), float(row[1]), float(row[2])
