"""Makers of minimal scenes: each writes one into an empty folder and returns the target."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from tests.images.parts import one_part, several
from tests.reading.worlds import P3_CICP, sheet
from tests.scenes import builders as b
from tests.scenes.usd_stages import layer, preview

from primecoat.colour.ocio import through_view
from primecoat.images.curves import light_to_srgb
from primecoat.images.oiio import write_pixels

Make = Callable[[Path], Path]
"""Writes a scene into an empty folder and returns the target."""

CURVED = np.rint(255 * (b.normal_pixels() / 255.0) ** (1 / 2.2)).astype("uint8")
"""A normal map that was saved through a display curve: flat blue is not (128, 128, 255) any more.
Gamma 1/2.2 stands in for the sRGB curve, which it follows within 8.5 codes."""


def picture(*row: str, channels: int = 3, dtype: str = "uint8", chunk: bytes = b"") -> Make:
    """Return a maker of a sheet of rows, with one small PNG for each path in them."""

    def make(folder: Path) -> Path:
        for cells in row:
            name = cells.split(",")[0]
            if name:
                (folder / name).write_bytes(b.png(channels, dtype, *([chunk] if chunk else [])))
        return sheet(folder, *row)

    return make


def variants(count: int) -> Make:
    """Return a maker of a stage with a prim of some variant sets that all colour one prim."""

    def make(folder: Path) -> Path:
        names = [f"s{n}" for n in range(count)]
        sets = "".join(
            f'variantSet "{name}" = {{\n'
            + "".join(
                f'"v{k}" {{\nover "X" {{\ncolor3f c{name} = (0.{k}, 0, 0)\n}}\n}}\n'
                for k in range(5)
            )
            + "}\n"
            for name in names
        )
        chosen = "".join(f'string {name} = "v0"\n' for name in names)
        listed = ", ".join(f'"{name}"' for name in names)
        text = (
            f'#usda 1.0\ndef "Cup" (\nvariants = {{\n{chosen}}}\nprepend variantSets = [{listed}]'
            f'\n)\n{{\ndef Scope "X" {{\n}}\n{sets}}}\n'
        )
        (folder / "s.usda").write_text(text, encoding="utf-8")
        return folder / "s.usda"

    return make


def gltf(uri: str, *more: dict[str, Any], file: str = "", data: bytes | None = None) -> Make:
    """Return a maker of a glTF with one base colour, and a file for it."""

    def make(folder: Path) -> Path:
        if file:
            path = folder / file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(b.png() if data is None else data)
        materials = [{"name": "glaze"} | b.BASE_COLOUR | extra for extra in more or ({},)]
        return b.write_gltf(folder / "s.gltf", b.gltf([{"uri": uri}], materials))

    return make


def parts(*ids: str) -> Make:
    """Return a maker of a sheet with one picture of a part for each ``colorInteropID``."""

    def make(folder: Path) -> Path:
        listed = [(f"p{n}", "R G B", {"colorInteropID": name}) for n, name in enumerate(ids)]
        several(folder / "a.exr", *listed)
        return sheet(folder, "a.exr,x,base_color,,,")

    return make


def stated(**attributes: object) -> Make:
    """Return a maker of a sheet with one OpenEXR picture of one part that states something."""

    def make(folder: Path) -> Path:
        one_part(folder / "a.exr", "R G B", **attributes)
        return sheet(folder, "a.exr,x,base_color,,,")

    return make


def stage(source: str) -> Make:
    """Return a maker of a USD texture that declares sRGB, and a word of ``sourceColorSpace``."""

    def make(folder: Path) -> Path:
        (folder / "a.png").write_bytes(b.png())
        path = folder / "s.usda"
        path.write_text(
            '#usda 1.0\ndef Shader "t"\n{\n    uniform token info:id = "UsdUVTexture"\n'
            '    asset inputs:file = @./a.png@ (\n        colorSpace = "srgb_rec709_scene"\n    )\n'
            f'    token inputs:sourceColorSpace = "{source}"\n}}\n'
        )
        return path

    return make


def automatic_normal(source: str) -> Make:
    """Return a maker of a USD normal map of 8 bits, read by a word of ``sourceColorSpace``."""

    def make(folder: Path) -> Path:
        (folder / "a.png").write_bytes(b.png_of(b.normal_pixels()))
        normal = "normal3f inputs:normal.connect = </M/tex.outputs:rgb>"
        word = f'token inputs:sourceColorSpace = "{source}"'
        return layer(folder, preview(f"asset inputs:file = @./a.png@\n{word}", normal), "s.usda")

    return make


def normal_map(pixels: np.ndarray) -> Make:
    def make(folder: Path) -> Path:
        (folder / "a_normal.png").write_bytes(b.png_of(pixels))
        return sheet(folder, "a_normal.png,x,normal,,,")

    return make


def environment(suffix: str) -> Make:
    def make(folder: Path) -> Path:
        light = np.geomspace(0.01, 100.0, 16 * 16, dtype=np.float32).reshape(16, 16, 1)
        pixels = light * np.array([0.8, 0.9, 1.0], dtype=np.float32)
        if suffix == "png":
            pixels = np.clip(pixels * 255, 0, 255).astype(np.uint8)
        write_pixels(folder / f"sky.{suffix}", pixels)
        return sheet(folder, f"sky.{suffix},sky,environment,,,")

    return make


def tiles(second: bytes) -> Make:
    def make(folder: Path) -> Path:
        (folder / "a.1001.png").write_bytes(b.png())
        (folder / "a.1002.png").write_bytes(b.png())
        (folder / "a.1003.png").write_bytes(second)
        return sheet(folder, "a.<UDIM>.png,x,base_color,,,")

    return make


def folder_with(name: str, data: bytes) -> Make:
    def make(folder: Path) -> Path:
        (folder / name).write_bytes(data)
        return folder

    return make


def pixels(name: str, slot: str, make_pixels: Callable[[], np.ndarray]) -> Make:
    """Return a maker of a sheet with one picture of these pixels in a slot."""

    def make(folder: Path) -> Path:
        write_pixels(folder / name, make_pixels())
        return sheet(folder, f"{name},x,{slot},,,")

    return make


def inverse_pair(slot: str) -> Make:
    """Return a maker of a roughness map, and of its inverse in some slot."""

    def make(folder: Path) -> Path:
        noise = np.random.default_rng(6).normal(size=(64, 64)).cumsum(axis=0).cumsum(axis=1)
        rough = np.rint(40 + 150 * (noise - noise.min()) / np.ptp(noise)).astype(np.uint8)
        write_pixels(folder / "a_roughness.png", rough[..., None])
        write_pixels(folder / "a_two.png", 255 - rough[..., None])
        return sheet(folder, "a_roughness.png,x,roughness,,,", f"a_two.png,y,{slot},,,")

    return make


def light(*extreme: float, count: int = 1) -> Callable[[], np.ndarray]:
    """Return a maker of a sky whose first pixels hold a value each, or one value many times."""

    def make() -> np.ndarray:
        ramp = np.geomspace(0.01, 8.0, 64 * 64, dtype=np.float32)[::-1].reshape(64, 64, 1)
        sky = ramp * np.array([0.8, 0.9, 1.0], dtype=np.float32)
        for at, value in enumerate(extreme * count):
            sky[20 + at // 4, 20 + at % 4] = value
        return sky

    return make


def painted(low: float, high: float) -> Callable[[], np.ndarray]:
    """Return a maker of paint whose stored codes lie evenly between two shares of white."""

    def make() -> np.ndarray:
        noise = np.random.default_rng(5).uniform(low, high, (96, 96, 1))
        tint = np.array([1.0, 0.9, 0.8])
        return np.asarray(np.rint(255 * np.clip(noise * tint, 0, 1)), dtype=np.uint8)

    return make


def lit_paint(view: bool) -> Callable[[], np.ndarray]:
    """Return a maker of two paints under uneven light, through a view or just encoded.

    The view is that of ACES 2 as OpenColorIO has it.
    """

    def make() -> np.ndarray:
        rows, columns = np.mgrid[0:128, 0:128] / 128.0 * 2 * np.pi
        shade = 0.55 + 0.2 * np.sin(9 * columns + 3 * np.sin(2 * rows)) + 0.2 * np.cos(7 * rows)
        paint = np.where(rows[..., None] < np.pi, [0.95, 0.35, 0.15], [0.15, 0.35, 0.95])
        light = (shade[..., None] * paint).astype(np.float32)
        shown = through_view(light, "lin_rec709_scene") if view else light_to_srgb(light)
        return np.asarray(np.rint(255 * np.clip(shown, 0.0, 1.0)), dtype=np.uint8)

    return make


def bumps(down: bool) -> bytes:
    """Return a PNG of the normals of smooth bumps, green up (glTF 2.0, 3.9.3) or down."""
    rows, columns = np.mgrid[0:128, 0:128] / 128.0 * 2 * np.pi
    height = 3.0 * np.sin(3 * columns + 1) * np.cos(4 * rows) + 2.0 * np.sin(5 * rows + 2 * columns)
    slope_down, slope_right = np.gradient(height)
    green = -slope_down if down else slope_down
    normal = np.dstack([-slope_right, green, np.ones_like(height)])
    normal /= np.linalg.norm(normal, axis=2, keepdims=True)
    return b.png_of(np.rint(255 * (normal + 1) / 2).astype(np.uint8))


def gltf_normal(data: bytes) -> Make:
    normal = {"name": "glaze", "normalTexture": {"index": 0}}

    def make(folder: Path) -> Path:
        (folder / "a_normal.png").write_bytes(data)
        return b.write_gltf(folder / "s.gltf", b.gltf([{"uri": "a_normal.png"}], [normal]))

    return make


def alpha(colour: int) -> Make:
    def make(folder: Path) -> Path:
        picture = np.full((16, 16, 4), 200, dtype=np.uint8)
        picture[4:, :, 3] = 0
        picture[4:, :, :3] = colour
        (folder / "a.png").write_bytes(b.png_of(picture))
        return sheet(folder, "a.png,x,base_color,rgb,,")

    return make


def dark_ramp(linear: bool) -> Callable[[], np.ndarray]:
    """Return a maker of dark paint that was kept with 8 bits as light before it was encoded."""

    def make() -> np.ndarray:
        shade = np.random.default_rng(7).uniform(0.0, 0.2, (256, 256, 1)) ** 1.5
        shade = shade + np.array([0.001, 0.0, 0.0005])
        kept = np.rint(255 * shade) / 255 if linear else shade
        encoded = np.where(kept <= 0.0031308, 12.92 * kept, 1.055 * kept ** (1 / 2.4) - 0.055)
        return np.asarray(np.rint(255 * encoded), dtype=np.uint8)

    return make


def jpeg_height(quality: int) -> Make:
    """Return a maker of a height map that was a JPEG of a quality before it became a PNG."""

    def make(folder: Path) -> Path:
        generator = np.random.default_rng(8)
        rough = generator.normal(size=(160, 160)).cumsum(axis=0).cumsum(axis=1)
        height = np.rint(255 * (rough - rough.min()) / np.ptp(rough))
        height = np.clip(height + generator.normal(0, 5, height.shape), 0, 255).astype(np.uint8)
        stored = io.BytesIO()
        Image.fromarray(height).save(stored, "JPEG", quality=quality)
        Image.open(stored).save(folder / "a.png")
        return sheet(folder, "a.png,x,height,,,")

    return make


def texture(age: int) -> Make:
    """Return a maker of a tiled texture that is older (or newer) than its source, in seconds."""

    def make(folder: Path) -> Path:
        write_pixels(folder / "a.tif", b.normal_pixels())
        (folder / "a.tif").rename(folder / "a.tx")
        (folder / "a.png").write_bytes(b.png())
        now = (folder / "a.png").stat().st_mtime
        os.utime(folder / "a.tx", (now - age, now - age))
        return sheet(folder, "a.tx,x,normal,,,")

    return make


P3 = b.chunk(b"cICP", P3_CICP)
OCCLUSION = {"occlusionTexture": {"index": 0}}
CUT_OUT = {"alphaMode": "MASK"}


def radiance(*lines: str) -> Make:
    """Return a maker of a Radiance environment with further header lines."""

    def make(folder: Path) -> Path:
        write_pixels(folder / "a.hdr", light()())
        data = (folder / "a.hdr").read_bytes()
        head, gap, rest = data.partition(b"\n\n")
        more = "".join(f"\n{line}" for line in lines).encode()
        (folder / "a.hdr").write_bytes(head + more + gap + rest)
        return sheet(folder, "a.hdr,x,environment,,,")

    return make


def ap0(*colour: float) -> Make:
    """Return a maker of a scene-linear AP0 picture of one colour beside greys."""

    def make(folder: Path) -> Path:
        greys = np.linspace(0.02, 0.8, 64 * 64, dtype=np.float32).reshape(64, 64, 1)
        picture = np.repeat(greys, 3, axis=2)
        picture[:32] = colour
        write_pixels(folder / "a_lin_ap0_scene.exr", picture)
        return sheet(folder, "a_lin_ap0_scene.exr,x,emissive,,,")

    return make


def grey_tiles(encoded: bool) -> Make:
    """Return a maker of a set of four roughness tiles, one of them saved through an sRGB curve."""

    def make(folder: Path) -> Path:
        generator = np.random.default_rng(9)
        for number in range(1001, 1005):
            level = np.clip(generator.normal(0.4, 0.1, (48, 48, 1)), 0.0, 1.0)
            if encoded and number == 1003:
                level = 1.055 * level ** (1 / 2.4) - 0.055
            codes = np.rint(255 * np.clip(level, 0.0, 1.0)).astype(np.uint8)
            write_pixels(folder / f"a.{number}.png", codes)
        return sheet(folder, "a.<UDIM>.png,x,roughness,,,")

    return make
