"""A small exact renderer of the test card alone, and programs that read inputs in their own way.

It reads the card as it was written: squares, materials, lights and camera from the OpenUSD layer,
fields from the picture files. Flat matt surfaces in parallel light have a closed form: base colour
times cosine times the light's colour. Curves and matrices are published ones, none of the
project's: IEC 61966-2-1, and ASWF Color Interop Forum Rec. 01 (``tests/data/reference``); the RGB
of a temperature is what usd-core returns. Views are OpenColorIO's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray
from tests.colour.reference import matrices, rows
from tests.proof.card_rays import FINER, Met
from tests.proof.loaded_card import Card, Floats, Square

from primecoat.images.oiio import read_pixels, write_pixels

STUDIO = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"
OLDER = "studio-config-v2.1.0_aces-v1.3_ocio-v2.3"
SRGB = "sRGB - Display"
ACES_2 = (STUDIO, SRGB, "ACES 2.0 - SDR 100 nits (Rec.709)")
ACES_1 = (OLDER, SRGB, "ACES 1.0 - SDR Video")
PLAIN = (STUDIO, SRGB, "Un-tone-mapped")

SOURCE = "matrices__color-interop-forum-rec01.csv"


@dataclass(frozen=True, kw_only=True)
class Program:
    """How a simulated program makes the picture.

    Parameters
    ----------
    working
        ``rec709`` or ``ap1``.
    read
        Readings of inputs that it does not read as they were made.
    view
        Config, display and view that are baked in; None for scene-linear numbers.
    stops
        Exposure.
    pose
        Name of a pose of the picture.
    eight_bit
        Whether the file holds 8-bit codes; else half floats.
    noise
        Standard deviation of each pixel, as a share of its light.
    say
        Whether the space of scene-linear numbers is told to the reader.
    bounce
        Whether light from patch to patch is in the picture.
    """

    name: str
    working: str = "ap1"
    read: Mapping[str, str] = field(default_factory=dict)
    view: tuple[str, str, str] | None = None
    stops: float = 0.0
    pose: str = "straight"
    eight_bit: bool = False
    noise: float = 0.01
    say: bool = True
    bounce: bool = False


# --- what a reading does to numbers


def _uncurved(values: Floats, curve: str) -> Floats:
    match curve:
        case "srgb":  # IEC 61966-2-1
            high = ((np.maximum(values, 0) + 0.055) / 1.055) ** 2.4
            return np.where(values <= 0.04045, values / 12.92, high)
        case "g22":
            return np.maximum(values, 0) ** 2.2
        case "g18":
            return np.maximum(values, 0) ** 1.8
        case _:
            return values


@cache
def _to_working(primaries: str, working: str) -> Floats:
    known = matrices(SOURCE)
    to_ap1 = {"ap1": np.eye(3)} | {
        name: known[f"{name}_to_ap1_bradford"] for name in ("rec709", "p3d65", "rec2020")
    }
    return np.asarray(np.linalg.inv(to_ap1[working]) @ to_ap1[primaries])


def numbers_read(values: Floats, reading: str, working: str) -> Floats:
    """Return numbers of shape (..., 3) as linear light in a working space."""
    if reading == "not_there":
        return np.zeros_like(values)
    if reading.endswith("_cut_at_1"):
        return numbers_read(np.minimum(values, 1), reading.removesuffix("_cut_at_1"), working)
    if reading == "data":
        return values
    if reading == "srgb_curve_only":
        return _uncurved(values, "srgb")
    curve, primaries, _ = reading.split("_")
    return np.asarray(_uncurved(values, curve) @ _to_working(primaries, working).T)


# --- light


def shade(card: Card, program: Program) -> Floats:
    """Return the light of every field, linear in the working space, shape (fields, 3)."""
    matt = [_reflects(card, square, program) for square in card.squares]
    out = np.concatenate(
        [
            base * _received(card, square, normals, program) + _shines(square, program)
            for square, (base, normals) in zip(card.squares, matt, strict=True)
        ]
    )
    if program.bounce:
        out = out + np.concatenate([base for base, _ in matt]) * (factors(card) @ out)
    pixels = read_pixels(card.folder / "textures/card_environment.exr").astype(float)
    middle = len(pixels) // 2
    sky = np.array([pixels[middle - 5, 0], pixels[middle + 5, 0], (0, 0, 0)])
    reading = program.read.get("environment", "lin_rec709_scene")
    return np.concatenate((out, card.sky * numbers_read(sky, reading, program.working)))


def _reflects(card: Card, square: Square, program: Program) -> tuple[Floats, Floats]:
    """Return what the fields of a square reflect, and their normals."""
    normals = np.tile(square.normal, (4, 1))
    base = np.tile(_constant(square.base, program), (4, 1))
    if not square.picture:
        return base, normals
    key, values = _picture(card.folder, square.picture)
    reading = program.read.get(key, _made_as(key))
    match square.slot:
        case "diffuseColor":
            base = numbers_read(values, reading, program.working)
        case "metallic":
            base = base * (1 - numbers_read(values, reading, "rec709")[:, :1])
        case "normal":
            bare = reading.removesuffix("_green_down")
            normals = numbers_read(values, bare, "rec709") * 2 - 1
            normals[:, 1] *= 1 if bare == reading else -1
            normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return base, normals


def _received(card: Card, square: Square, normals: Floats, program: Program) -> Floats:
    light = np.zeros((4, 3))
    for name, (way, _, _) in card.lights.items():
        facing = square.normal @ way > 0  # a surface is not lit from behind
        light += facing * np.maximum(normals @ way, 0)[:, None] * _light(card, name, program)
    return light


def _shines(square: Square, program: Program) -> Floats:
    reading = program.read.get("emission", "lin_rec709_scene")
    return numbers_read(square.emission, reading, program.working)


@cache
def factors(card: Card) -> Floats:
    """Return how much of each field's light falls on each other, shape (fields, fields).

    Form factors in parts of squares, nothing in the way: an upper bound. At the receiver the
    middle ninth of a field counts, as it is looked at.
    """
    parts = [_parts(square, 6) for square in card.squares]
    at = np.concatenate([points for points, _ in parts])
    sizes = np.concatenate([np.full(len(points), size) for points, size in parts])
    normals = np.concatenate([np.tile(s.normal, (144, 1)) for s in card.squares])
    found = np.zeros((4 * len(card.squares),) * 2)
    for number, square in enumerate(card.squares):
        received, _ = parts[number]
        for field_number, spots in enumerate(received.reshape(4, 6, 6, 3)):
            for spot in spots[2:4, 2:4].reshape(-1, 3):
                way = at - spot
                square_of = np.maximum((way**2).sum(axis=1), 1e-12)
                cosines = np.maximum(way @ square.normal, 0) * np.maximum(
                    -(way * normals).sum(axis=1), 0
                )
                given = cosines / square_of**2 * sizes / np.pi
                given[144 * number : 144 * (number + 1)] = 0
                found[4 * number + field_number] += given.reshape(-1, 36).sum(axis=1) / 4
    return found


def _parts(square: Square, count: int) -> tuple[Floats, float]:
    """Return the middles of the parts of a square's four fields in turn, and the area of one."""
    c = square.corners
    u, v = c[1] - c[0], c[3] - c[0]
    steps = (np.arange(count) + 0.5) / (2 * count)
    points = [
        c[0] + (left + across) * u + (low + up) * v
        for left, low in ((0, 0.5), (0.5, 0.5), (0, 0), (0.5, 0))
        for across in steps
        for up in steps
    ]
    area = float(np.linalg.norm(np.cross(u, v))) / (4 * count * count)
    return np.array(points), area


def _constant(value: Floats, program: Program) -> Floats:
    reading = program.read.get("constant", "lin_rec709_scene")
    return numbers_read(value, reading, program.working)


def _light(card: Card, name: str, program: Program) -> Floats:
    _, colour, kelvin = card.lights[name]
    if name == "lamp_light":
        reading = program.read.get("light_by_colour", "lin_rec709_scene")
        if reading in ("ignored", "not_there"):
            return np.ones(3) * (reading == "ignored")
        return numbers_read(colour, reading, program.working)
    if kelvin is None:
        return colour
    reading = program.read.get("light_by_temperature", "kelvin")
    if reading in ("ignored", "not_there"):
        return np.ones(3) * (reading == "ignored")
    [row] = (r for r in rows("blackbody-rgb__usdlux-26.11.csv") if float(r["kelvin"]) == kelvin)
    factor = np.array([float(row[c]) for c in ("red", "green", "blue")])
    if reading == "kelvin_not_converted":
        return factor
    return numbers_read(factor, "lin_rec709_scene", program.working)


def _made_as(key: str) -> str:
    """Return what a file's own name and the card's page say that it was made as."""
    known = {
        "token_ap1_color": "srgb_ap1_scene",
        "profile_p3_color": "srgb_p3d65_scene",
        "float_color": "lin_rec709_scene",
        "grey_data": "data",
        "normal_map": "data",
    }
    return known.get(key, "srgb_rec709_scene")


_KEYS = {
    "token_color_srgb_rec709_scene": "token_color",
    "token_color_srgb_ap1_scene": "token_ap1_color",
    "mix_metalness": "grey_data",
    "card_normal": "normal_map",
}


@cache
def _picture(folder: Path, path: str) -> tuple[str, Floats]:
    """Return the key of a picture, and the numbers in the middle of its four fields."""
    pixels = read_pixels(folder / path)
    scale = np.iinfo(pixels.dtype).max if pixels.dtype.kind == "u" else 1.0
    side = len(pixels)
    near, far = side // 4, 3 * side // 4
    values = pixels[[near, near, far, far], [near, far, near, far], :3].astype(float) / scale
    stem = Path(path).name.partition(".")[0]
    return _KEYS.get(stem, stem), values


# --- the picture


def render(card: Card, met: Met, program: Program, seed: int) -> NDArray[Any]:
    """Return the picture a program makes, shape (height, width, 3)."""
    light = shade(card, program) * 2.0**program.stops
    height, width = met.shape
    parts = [(row, column) for row in range(FINER) for column in range(FINER)]
    mean = np.zeros((height, width, 3), np.float32)
    for row, column in parts:
        mean += light.astype(np.float32)[met.fields[row::FINER, column::FINER]] / len(parts)
    chance = np.random.default_rng(seed)
    noisy = mean * (1 + program.noise * chance.standard_normal(mean.shape, np.float32))
    shown = noisy if program.view is None else _through(noisy, program)
    if program.eight_bit:
        return np.asarray(np.rint(np.clip(shown, 0, 1) * 255), np.uint8)
    return np.asarray(shown, np.float32)


def _through(light: NDArray[np.float32], program: Program) -> NDArray[np.float32]:
    assert program.view is not None
    processor = _view(program.working, *program.view)
    out = np.ascontiguousarray(light, np.float32)
    processor.applyRGB(out)
    return out


@cache
def _view(working: str, config: str, display: str, view: str) -> ocio.CPUProcessor:
    loaded = ocio.Config.CreateFromBuiltinConfig(config)
    source = {"rec709": "lin_rec709", "ap1": "lin_ap1"}[working]
    transform = ocio.DisplayViewTransform(src=source, display=display, view=view)
    return loaded.getProcessor(transform).getDefaultCPUProcessor()


def write(folder: Path, program: Program, picture: NDArray[Any]) -> Path:
    """Write a picture: PNG if it holds codes, else OpenEXR."""
    path = folder / f"{program.name}.{'png' if program.eight_bit else 'exr'}"
    write_pixels(path, picture, pixel_type=None if program.eight_bit else "half")
    return path
