from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from primecoat.colour.ids import NAMES
from primecoat.demo.faults import BENT_NORMALS, BERRY, STALE_TOKEN
from primecoat.images.oiio import read_pixels

NORMALS = [
    "bowl_normal.png",
    "brass_normal.png",
    "cloth_normal.png",
    "oak_board_normal.png",
    "sugar_jar_normal.png",
    "teapot_normal.png",
    "wall_normal.png",
]
Chunks = Callable[[Path], dict[str, bytes]]

COLOUR_CHUNKS = {"sRGB", "iCCP", "cICP", "gAMA", "cHRM"}
SAYS_SRGB = {
    "bowl_color.png",
    "cup_color.png",
    "lantern_emissive.png",
    "milk_jug_color.png",
    "oak_tray_color.1001.png",
    "oak_tray_color.1002.png",
    "pottery_logo.png",
    "saucer_color.png",
    "teapot_color.png",
}


def vector_lengths(codes: np.ndarray[Any, np.dtype[np.uint8]]) -> np.ndarray[Any, Any]:
    return np.asarray(np.linalg.norm(codes / 255 * 2 - 1, axis=-1))


def test_no_picture_is_over_two_megabytes(twin: Path) -> None:
    sizes = {path.name: path.stat().st_size for path in (twin / "textures").iterdir()}
    assert len(sizes) > 40
    assert max(sizes.values()) <= 2_000_000, sizes


def test_every_picture_decodes_and_is_no_flat_colour(twin: Path) -> None:
    for path in (twin / "textures").iterdir():
        pixels = read_pixels(path)
        assert min(pixels.shape[:2]) >= 256, path.name
        assert (pixels != pixels[0, 0]).any(), path.name


def test_files_say_as_much_about_colour_as_the_scenario_wants(
    clean: Path, png_chunks: Chunks
) -> None:
    for path in (clean / "textures").glob("*.png"):
        expected = {"sRGB", "gAMA", "cHRM"} if path.name in SAYS_SRGB else set()
        assert set(png_chunks(path)) & COLOUR_CHUNKS == expected, path.name
    for path in (clean / "textures").glob("*.jpg"):
        assert b"ICC_PROFILE" not in path.read_bytes()
        assert b"\x01\xa0" not in path.read_bytes()[:400], "an EXIF colour space"
    header = (clean / "textures/courtyard_environment.exr").read_bytes()[:1000]
    assert b"chromaticities" not in header
    assert b"colorInteropID" not in header
    assert b"PRIMARIES" not in (clean / "textures/courtyard_environment.hdr").read_bytes()[:200]


@pytest.mark.parametrize("name", NORMALS)
def test_normal_maps_hold_unit_vectors_that_point_out(clean: Path, name: str) -> None:
    codes = read_pixels(clean / "textures" / name)
    lengths = vector_lengths(codes)
    assert np.abs(lengths - 1).max() < 0.01, "more than 8-bit rounding explains"
    assert codes[..., 2].min() > 128
    assert np.abs(codes.reshape(-1, 3).mean(axis=0)[:2] - 127.5).max() < 4


def test_green_points_up_the_picture(clean: Path) -> None:
    """A bead of glaze above bare clay: its lower flank faces down, so green is low there."""
    height = read_pixels(clean / "textures/bowl_height.png")[..., 0].astype(np.float64)
    normal = read_pixels(clean / "textures/bowl_normal.png").astype(np.float64)
    downhill = np.roll(height, -1, axis=0) < np.roll(height, 1, axis=0)
    steep = np.abs(np.roll(height, -1, axis=0) - np.roll(height, 1, axis=0)) > 2000
    assert normal[downhill & steep][:, 1].max() < 128 < normal[~downhill & steep][:, 1].min()


def test_leaf_and_logo_keep_their_colour_where_alpha_is_zero(twin: Path) -> None:
    for name in ("leaf_color.png", "pottery_logo.png"):
        pixels = read_pixels(twin / "textures" / name)
        hidden = pixels[..., 3] == 0
        assert pixels.shape[2] == 4
        assert 0.1 < hidden.mean() < 0.9
        assert pixels[hidden][:, :3].max(axis=1).min() > 20
    leaf = read_pixels(twin / "textures/leaf_color.png").astype(float)
    shown, hidden = leaf[leaf[..., 3] == 255], leaf[leaf[..., 3] == 0]
    assert np.abs(shown.mean(axis=0) - hidden.mean(axis=0))[:3].max() < 30, "no dark fringe"


def test_packed_map_has_occlusion_roughness_and_metalness(clean: Path) -> None:
    packed = read_pixels(clean / "textures/teapot_occlusion_roughness_metalness.png")
    assert packed[..., 0].mean() > 200
    assert 20 < packed[..., 1].mean() < 80
    assert packed[..., 2].max() == 0
    metal = read_pixels(clean / "textures/brass_roughness_metalness.png")
    assert metal[..., 2].max() == 255


@pytest.mark.parametrize("name", ["bowl_height.png", "wall_height.png"])
def test_heights_are_grey_of_sixteen_bits(clean: Path, name: str) -> None:
    height = read_pixels(clean / "textures" / name)
    assert height.dtype == np.uint16
    assert height.shape[2] == 1
    assert len(np.unique(height)) > 5000


@pytest.mark.parametrize("suffix", [".hdr", ".exr"])
def test_environment_has_a_sun_far_above_one_that_half_floats_hold(
    clean: Path, suffix: str
) -> None:
    light = read_pixels(clean / f"textures/courtyard_environment{suffix}").astype(np.float32)
    assert light.shape == (512, 1024, 3)
    assert np.isfinite(light).all()
    assert light.min() >= 0
    assert 1000 < light.max() < 65504
    assert (light == light.max()).sum() < 9, "a flat top would mean a clipped sun"
    assert 0.05 < np.median(light) < 2


def test_the_two_environments_are_the_same_picture(clean: Path) -> None:
    wide = read_pixels(clean / "textures/courtyard_environment.hdr").astype(np.float32)
    half = read_pixels(clean / "textures/courtyard_environment.exr").astype(np.float32)
    step = wide.max(axis=2, keepdims=True) / 128  # one step of the shared exponent
    assert (np.abs(wide - half) <= step).all()


def test_tiles_go_on_without_a_seam(clean: Path) -> None:
    left = read_pixels(clean / "textures/oak_tray_color.1001.png").astype(float)
    right = read_pixels(clean / "textures/oak_tray_color.1002.png").astype(float)
    seam = np.abs(left[:, -1] - right[:, 0]).mean()
    inside = np.abs(np.diff(left, axis=1)).mean()
    assert seam < 3 * inside


def test_only_the_planted_names_look_like_a_token(twin: Path) -> None:
    words = [*NAMES, "aces", "srgb", "linear"]
    planted = {Path(STALE_TOKEN.where).name, Path(BERRY.where).name}
    for path in (twin / "textures").iterdir():
        found = [word for word in words if word in path.name.lower()]
        assert bool(found) == (path.name in planted), (path.name, found)


def test_bent_normal_map_is_right_again_once_the_curve_is_undone(
    faulted: Path, clean: Path
) -> None:
    bent = read_pixels(faulted / BENT_NORMALS.where)
    assert np.abs(vector_lengths(bent) - 1).mean() > 0.2
    stored = bent / 255
    undone = np.where(stored <= 0.04045, stored / 12.92, ((stored + 0.055) / 1.055) ** 2.4)
    assert np.abs(np.linalg.norm(undone * 2 - 1, axis=-1) - 1).max() < 0.02
    healthy = read_pixels(clean / BENT_NORMALS.healthy) / 255
    rounding = (0.5 * 2.28 + 0.5) / 255  # half a code of each file; the curve's slope is 2.28
    assert np.abs(undone - healthy).max() < rounding + 1e-4


def test_documents_are_plain_json(twin: Path) -> None:
    for name in ("tea.gltf", "truth.json"):
        assert json.loads((twin / name).read_text(encoding="utf-8"))
