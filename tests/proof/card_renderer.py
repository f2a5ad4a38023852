"""A small exact renderer of the test card alone, and programs that read inputs in their own way.

It reads the card as it was written: squares, materials, lights and camera from the OpenUSD layer,
fields from the picture files. Flat matt surfaces in parallel light have a closed form: base colour
times cosine times the light's colour. Curves and matrices are published ones, none of the
project's: IEC 61966-2-1, and ASWF Color Interop Forum Rec. 01 (``tests/data/reference``); the RGB
of a temperature is what usd-core returns. Views are OpenColorIO's.
"""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray
from tests.colour.reference import matrices, rows

from primecoat.images.oiio import read_pixels, write_pixels

Floats = NDArray[np.float64]

Usd, UsdGeom, UsdLux, UsdShade = (
    importlib.import_module(f"pxr.{name}") for name in ("Usd", "UsdGeom", "UsdLux", "UsdShade")
)  # they ship no types

STUDIO = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"
OLDER = "studio-config-v2.1.0_aces-v1.3_ocio-v2.3"
SRGB = "sRGB - Display"
ACES_2 = (STUDIO, SRGB, "ACES 2.0 - SDR 100 nits (Rec.709)")
ACES_1 = (OLDER, SRGB, "ACES 1.0 - SDR Video")
PLAIN = (STUDIO, SRGB, "Un-tone-mapped")

WIDTH, HEIGHT = 700, 500
FINER = 2
"""Rays a side of a pixel."""

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


POSES: dict[str, Floats] = {
    "straight": np.eye(3),
    "rotated": np.array([[0.83, -0.30, 145.0], [0.30, 0.83, -55.0], [0, 0, 1]]),
    "small": np.array([[0.55, 0.0, 60.0], [0.0, 0.55, 150.0], [0, 0, 1]]),
    "perspective": np.array([[0.9, -0.02, 40.0], [0.03, 0.86, 25.0], [8e-5, -6e-5, 1]]),
    "upside_down": np.array([[-0.98, 0.03, 690.0], [-0.03, -0.98, 500.0], [0, 0, 1]]),
    "mirrored": np.array([[-0.95, 0.0, 680.0], [0.0, 0.95, 12.0], [0, 0, 1]]),
}
"""From pixels of the camera's own picture to pixels of the picture that is handed in."""


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


# --- the card as it was written


@dataclass(frozen=True, kw_only=True)
class Square:
    """A square of the layer: corners, its material's inputs, and the picture that it takes."""

    name: str
    corners: Floats
    base: Floats
    emission: Floats
    picture: str
    slot: str


@dataclass(frozen=True, kw_only=True)
class Card:
    """The layer as it is rendered."""

    folder: Path
    squares: tuple[Square, ...]
    lights: dict[str, tuple[Floats, Floats, float | None]]
    eye: Floats
    half_width: float
    half_height: float
    sky: float


def load_card(folder: Path) -> Card:
    """Read ``card.usda``."""
    stage = Usd.Stage.Open(str(folder / "card.usda"))
    cache_of = UsdGeom.XformCache()
    squares, lights = [], {}
    for prim in stage.Traverse():
        if prim.IsA(UsdGeom.Mesh):
            squares.append(_square(prim))
        elif prim.IsA(UsdLux.DistantLight):
            light = UsdLux.DistantLight(prim)
            turned = np.array(cache_of.GetLocalToWorldTransform(prim))
            warm = light.GetEnableColorTemperatureAttr().Get()
            lights[prim.GetName()] = (
                turned[2, :3] * (light.GetIntensityAttr().Get() / np.pi),
                np.array(light.GetColorAttr().Get(), float),
                light.GetColorTemperatureAttr().Get() if warm else None,
            )
    camera = UsdGeom.Camera(stage.GetPrimAtPath("/card/camera"))
    focal = camera.GetFocalLengthAttr().Get()
    return Card(
        folder=folder,
        squares=tuple(squares),
        lights=lights,
        eye=np.array(cache_of.GetLocalToWorldTransform(camera.GetPrim()))[3, :3],
        half_width=camera.GetHorizontalApertureAttr().Get() / 2 / focal,
        half_height=camera.GetVerticalApertureAttr().Get() / 2 / focal,
        sky=UsdLux.DomeLight(stage.GetPrimAtPath("/card/sky")).GetIntensityAttr().Get(),
    )


def _square(prim: Any) -> Square:
    material = UsdShade.MaterialBindingAPI(prim).ComputeBoundMaterial()[0]
    shader = material.ComputeSurfaceSource()[0]
    picture, slot = "", ""
    for name in ("diffuseColor", "metallic", "normal"):
        entry = shader.GetInput(name)
        if entry and entry.HasConnectedSource():
            reader = UsdShade.Shader(entry.GetConnectedSources()[0][0].source.GetPrim())
            picture, slot = reader.GetInput("file").Get().path, name
    base, emission = (shader.GetInput(name) for name in ("diffuseColor", "emissiveColor"))
    return Square(
        name=prim.GetName(),
        corners=np.array(UsdGeom.Mesh(prim).GetPointsAttr().Get(), float),
        base=np.array(base.Get() or (1, 1, 1), float),
        emission=np.array(emission.Get() if emission else (0, 0, 0), float),
        picture=picture,
        slot=slot,
    )


# --- which field each ray meets


@dataclass(frozen=True)
class Met:
    """For each ray the field it meets: four a square, then the environment's three."""

    fields: NDArray[np.int32]
    shape: tuple[int, int]


def trace(card: Card, pose: str) -> Met:
    """Return what the camera sees in a pose."""
    back = np.linalg.inv(POSES[pose])
    step = (np.arange(WIDTH * FINER) + 0.5) / FINER, (np.arange(HEIGHT * FINER) + 0.5) / FINER
    px, py = np.meshgrid(*step)
    full = np.stack((px, py, np.ones_like(px)), axis=-1) @ back.T
    x, y = full[..., 0] / full[..., 2], full[..., 1] / full[..., 2]
    ways = np.stack(
        (
            (2 * x / WIDTH - 1) * card.half_width,
            (1 - 2 * y / HEIGHT) * card.half_height,
            -np.ones_like(x),
        ),
        axis=-1,
    )
    nearest = np.full(x.shape, np.inf)
    found = _sky_fields(ways, 4 * len(card.squares))
    for number, square in enumerate(card.squares):
        window = _window(square.corners, card, POSES[pose])
        if window is None:
            continue
        rays = ways[window]
        origin, u, v = square.corners[0], *(square.corners[n] - square.corners[0] for n in (1, 3))
        normal = np.cross(u, v)
        with np.errstate(divide="ignore", invalid="ignore"):
            far = (origin - card.eye) @ normal / (rays @ normal)
            at = card.eye + far[..., None] * rays - origin
            across, up = at @ u / (u @ u), at @ v / (v @ v)
            hit = (across >= 0) & (across <= 1) & (up >= 0) & (up <= 1) & (far < nearest[window])
        part = np.where(up >= 0.5, 0, 2) + np.where(across >= 0.5, 1, 0)
        found[window] = np.where(hit, 4 * number + part, found[window])
        nearest[window] = np.where(hit, far, nearest[window])
    return Met(found.astype(np.int32), (HEIGHT, WIDTH))


def _sky_fields(ways: Floats, first: int) -> NDArray[np.int64]:
    """Bright, dark and nothing of the environment; -z is at the edges of the picture.

    Source of the orientation, from memory: OpenEXR documentation, "Latitude-Longitude Map".
    """
    unit = ways / np.linalg.norm(ways, axis=-1, keepdims=True)
    behind = -unit[..., 2] > np.cos(np.radians(28.0))
    return np.where(behind, np.where(unit[..., 1] > 0, first, first + 1), first + 2)


def _window(corners: Floats, card: Card, pose: Floats) -> tuple[slice, slice] | None:
    ray = corners - card.eye
    x = (ray[:, 0] / -ray[:, 2] / card.half_width + 1) / 2 * WIDTH
    y = (1 - ray[:, 1] / -ray[:, 2] / card.half_height) / 2 * HEIGHT
    full = np.stack((x, y, np.ones(4)), axis=1) @ pose.T
    pixels = full[:, :2] / full[:, 2:] * FINER
    low = np.maximum(np.floor(pixels.min(axis=0)).astype(int) - 2, 0)
    high = np.ceil(pixels.max(axis=0)).astype(int) + 2
    if (high <= 0).any() or low[0] >= WIDTH * FINER or low[1] >= HEIGHT * FINER:
        return None
    return slice(int(low[1]), int(high[1])), slice(int(low[0]), int(high[0]))


# --- light


def shade(card: Card, program: Program) -> Floats:
    """Return the light of every field, linear in the working space, shape (fields, 3)."""
    out = [_square_fields(card, square, program) for square in card.squares]
    pixels = read_pixels(card.folder / "textures/card_environment.exr").astype(float)
    rows_of, _ = pixels.shape[:2]
    sky = np.array([pixels[rows_of // 2 - 5, 0], pixels[rows_of // 2 + 5, 0], (0, 0, 0)])
    if _is_there(program, "environment"):
        reading = program.read.get("environment", "lin_rec709_scene")
        out.append(card.sky * numbers_read(sky, reading, program.working))
    else:
        out.append(np.zeros((3, 3)))
    return np.concatenate(out)


def _is_there(program: Program, key: str) -> bool:
    return program.read.get(key) != "not_there"


def _square_fields(card: Card, square: Square, program: Program) -> Floats:
    c = square.corners
    flat = np.cross(c[1] - c[0], c[3] - c[0])
    normals = np.tile(flat / np.linalg.norm(flat), (4, 1))
    base = np.tile(_constant(square.base, program), (4, 1))
    matt = np.ones((4, 1))
    if square.picture:
        key, values = _picture(card.folder, square.picture)
        made = _made_as(key)
        reading = program.read.get(key, made)
        match square.slot:
            case "diffuseColor":
                base = numbers_read(values, reading, program.working)
            case "metallic":
                matt = 1 - numbers_read(values, reading, "rec709")[:, :1]
            case "normal":
                down = reading.endswith("_green_down")
                bare = reading.removesuffix("_green_down")
                normals = numbers_read(values, bare, "rec709") * 2 - 1
                normals[:, 1] *= -1 if down else 1
                normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    light = np.zeros((4, 3))
    for name, (way, _, _) in card.lights.items():
        facing = flat @ way > 0  # a surface is not lit from behind
        light += facing * np.maximum(normals @ way, 0)[:, None] * _light(card, name, program)
    shines = program.read.get("emission", "lin_rec709_scene")
    emission = numbers_read(square.emission, shines, program.working)
    return base * matt * light + emission


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
    fine = light.astype(np.float32)[met.fields]
    mean = fine.reshape(height, FINER, width, FINER, 3).mean(axis=(1, 3))
    chance = np.random.default_rng(seed)
    noisy = mean * (1 + program.noise * chance.standard_normal(mean.shape, np.float32))
    shown = noisy if program.view is None else _through(noisy, program)
    if program.eight_bit:
        return np.rint(np.clip(shown, 0, 1) * 255).astype(np.uint8)
    return shown.astype(np.float32)


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
