"""Files handed over: right numbers, right labels, read by others, whole or not there."""

from __future__ import annotations

import io
import json
import struct
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import OpenEXR
import OpenImageIO as oiio
import PyOpenColorIO as ocio
import pytest
import tifffile
from PIL import Image, ImageCms
from tests.renders.balls import balls, written

import primecoat
from primecoat.colour.ocio import DEFAULT_CONFIG, convert, load_config
from primecoat.errors import UseError
from primecoat.images.second_reader import second_rows
from primecoat.renders.handover.kinds import KINDS
from primecoat.renders.handover.run import MANIFEST, Handover
from primecoat.renders.handover.strict import deviations

AP1 = "lin_ap1_scene"
SDR, HDR = "ACES 2.0 - SDR 100 nits (Rec.709)", "ACES 2.0 - HDR 1000 nits (P3 D65)"


@pytest.fixture
def master(tmp_path: Path) -> Path:
    return written(tmp_path / "tea.exr", balls(96, 60).astype(np.float16), AP1)


def made(master: Path | str, kind: str, **options: Any) -> Handover:
    folder = Path(master).parent / "out"
    return primecoat.handover([master], kind, folder, workers=1, **options)


def only(done: Handover) -> Path:
    assert done.failed == ()
    (entry,) = done.entries
    return done.folder / str(entry["file"])


def codes(path: Path) -> np.ndarray:
    rows = second_rows(path)
    assert rows is not None
    return np.concatenate(list(rows))


def by_the_library(light: np.ndarray, display: str, view: str) -> np.ndarray:
    """Return display codes by OpenColorIO's own processor, not optimised."""
    transform = ocio.DisplayViewTransform("ACEScg", display, view)
    processor = load_config(DEFAULT_CONFIG).getProcessor(transform)
    out = np.ascontiguousarray(light, np.float32).copy()
    run = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    run.applyRGB(out.reshape(-1, 3))
    return out


@pytest.mark.parametrize("kind", list(KINDS))
def test_every_kind_is_made_proved_and_the_same_each_time(master: Path, kind: str):
    first = made(master, kind)
    content = only(first).read_bytes()
    assert first.entries[0]["proved"]
    only(first).unlink()
    (first.folder / MANIFEST).unlink()
    again = made(master, kind)
    assert only(again).read_bytes() == content
    assert sorted(path.name for path in again.folder.iterdir()) == sorted(
        [MANIFEST, only(again).name]
    )


def test_strict_container(master: Path):
    """No deviation by our validator; OpenEXR's own library reads what it must hold."""
    path = only(made(master, "st2065-4"))
    assert deviations(path) == ()
    header = OpenEXR.File(str(path)).header()
    assert header["acesImageContainerFlag"] == 1
    assert header["compression"] == OpenEXR.NO_COMPRESSION
    ap0 = (0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.077, 0.32168, 0.33767)  # SMPTE ST 2065-1
    assert header["chromaticities"] == pytest.approx(ap0, abs=1e-6)
    light = np.asarray(OpenEXR.File(str(master)).channels()["RGB"].pixels, np.float32)
    wanted = convert(light, AP1, "lin_ap0_scene").astype(np.float16)
    assert np.array_equal(OpenEXR.File(str(path)).channels()["RGB"].pixels, wanted)


@pytest.mark.parametrize(
    "option",
    [{"compression": "piz"}, {"number": "float"}, {"number": "16-bit"}],
)
def test_what_the_strict_container_forbids(master: Path, option: dict[str, str]):
    with pytest.raises(UseError, match="SMPTE ST 2065-4"):
        made(master, "st2065-4", **option)


def test_validator_names_each_deviation(master: Path, tmp_path: Path):
    """Files that are nearly strict, written by OpenEXR's own library."""
    path = only(made(master, "ap0-exr", compression="piz", number="float"))
    found = " ".join(deviations(path))
    for words in ("acesImageContainerFlag", "chromaticities", "compressed", "half"):
        assert words in found
    tiled = tmp_path / "tiled.exr"
    rows = np.zeros((64, 64, 3), np.float16)
    OpenEXR.File(
        {"type": OpenEXR.tiledimage, "tiles": OpenEXR.TileDescription()}, {"RGB": rows}
    ).write(str(tiled))
    assert any("scan lines" in words for words in deviations(tiled))


@pytest.mark.parametrize(
    ("kind", "display", "view", "most"),
    [
        ("srgb-png", "sRGB - Display", SDR, 255),
        ("p3-tiff", "Display P3 - Display", None, 65535),
        ("pq-png", "Rec.2100-PQ - Display", HDR, 65535),
        ("srgb-png", "sRGB - Display", "Un-tone-mapped", 255),
    ],
)
def test_display_codes_are_the_librarys_own(
    master: Path, kind: str, display: str, view: str | None, most: int
):
    """Equal after rounding to the nearest code: the codes before it are equal bit for bit."""
    done = made(master, kind, view=view)
    light = np.asarray(OpenEXR.File(str(master)).channels()["RGB"].pixels, np.float32)
    shown = by_the_library(light, display, done.recipe.view)
    assert done.recipe.display == display
    wanted = np.floor(np.clip(shown, 0, 1) * np.float32(most) + np.float32(0.5))
    assert np.array_equal(codes(only(done)), wanted)


def test_mid_grey_as_published(tmp_path: Path):
    """ACES 2 SDR shows 0.18 as sRGB code 89, un-tone-mapped as 117.6; measured with the built-in
    config of OpenColorIO 2.5, where ACES documents 10 cd/m2 of 100 for it."""
    grey = written(tmp_path / "grey.exr", np.full((4, 4, 3), 0.18, np.float32), AP1)
    assert set(codes(only(made(grey, "srgb-png"))).ravel()) == {89}
    plain = primecoat.handover([grey], "srgb-png", tmp_path / "plain", view="Un-tone-mapped")
    assert set(codes(only(plain)).ravel()) == {118}


def chunks(path: Path) -> list[bytes]:
    data, at, found = path.read_bytes(), 8, []
    while at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        found.append(kind)
        if kind == b"cICP":
            found.append(data[at + 8 : at + 8 + length])
        at += 12 + length
    return found


@pytest.mark.parametrize(
    ("kind", "points"),
    [  # ITU-T H.273: primaries, transfer function, matrix, full range
        ("srgb-png", (1, 13, 0, 1)),
        ("p3-png", (12, 13, 0, 1)),
        ("pq-png", (9, 16, 0, 1)),
    ],
)
def test_png_says_code_points_and_nothing_else(
    master: Path, kind: str, points: tuple[int, int, int, int]
):
    path = only(made(master, kind))
    found = chunks(path)
    assert bytes(points) in found
    assert not {b"gAMA", b"cHRM", b"sRGB", b"iCCP"} & set(found)
    seen = oiio.ImageInput.open(str(path))
    assert seen is not None
    assert tuple(seen.spec().getattribute("CICP")) == points
    seen.close()
    with Image.open(path) as picture:
        assert picture.size == (96, 60)
        assert "icc_profile" not in picture.info


@pytest.mark.parametrize("kind", ["srgb-jpeg", "p3-jpeg", "srgb-tiff", "p3-tiff"])
def test_profile_is_read_by_others(master: Path, kind: str):
    """Pillow (LittleCMS) turns the profile's codes into the light that they stand for."""
    path = only(made(master, kind))
    if path.suffix == ".jpg":
        with Image.open(path) as picture:
            profile = picture.info["icc_profile"]
    else:
        with tifffile.TiffFile(path) as tiff:
            profile = tiff.pages.first.tags[34675].value
    cms = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    srgb = ImageCms.createProfile("sRGB")
    patch = Image.new("RGB", (1, 1), (200, 80, 60))
    turned = ImageCms.profileToProfile(
        patch, cms, srgb, renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC
    )
    assert turned is not None
    space = KINDS[kind].space
    light = convert(np.array([200, 80, 60]) / 255, space, "srgb_rec709_display")
    assert np.array(turned)[0, 0] == pytest.approx(np.clip(light, 0, 1) * 255, abs=1.5)


def test_alpha_stays_and_colour_is_divided(tmp_path: Path):
    """A half-covered edge: OpenEXR keeps colour times alpha, PNG holds the colour alone."""
    pixels = np.zeros((4, 4, 4), np.float32)
    pixels[..., :3] = np.array([0.3, 0.18, 0.05], np.float32) * 0.5
    pixels[..., 3] = 0.5
    pixels[0, 0] = (0.2, 0.2, 0.2, 0.0)  # light that adds, with nothing behind it covered
    half = written(tmp_path / "edge.exr", pixels.astype(np.float16), AP1)
    held = np.asarray(OpenEXR.File(str(half)).channels()["RGBA"].pixels, np.float32)
    png = codes(only(made(half, "srgb-png", number="16-bit")))
    assert np.array_equal(png[..., 3], np.rint(held[..., 3] * 65535))
    alone = held[1, 1, :3] / np.float32(0.5)
    shown = by_the_library(alone[None], "sRGB - Display", SDR)[0]
    assert png[1, 1, :3] == pytest.approx(np.rint(shown * 65535), abs=1)
    exr = primecoat.handover([half], "ap0-exr", tmp_path / "exr")
    out = OpenEXR.File(str(only(exr))).channels()["RGBA"].pixels
    assert np.array_equal(out[..., 3], held[..., 3].astype(np.float16))
    assert out[0, 0, :3].max() > 0


def test_alpha_and_a_format_without(tmp_path: Path):
    pixels = np.full((4, 4, 4), 0.25, np.float16)
    half = written(tmp_path / "edge.exr", pixels, AP1)
    (failed,) = made(half, "srgb-jpeg").failed
    assert "has alpha" in failed.reason
    over = made(half, "srgb-png", over_black=True)
    assert codes(only(over)).shape[-1] == 3


def test_what_is_through_its_view_is_not_seen_again(tmp_path: Path):
    png = written(tmp_path / "tea.png", np.zeros((4, 4, 3), np.uint8))
    (failed,) = made(png, "srgb-jpeg", in_space="srgb_rec709_display").failed
    assert "been through its view" in failed.reason


def test_nothing_is_assumed(tmp_path: Path):
    untagged = written(tmp_path / "tea.exr", np.zeros((4, 4, 3), np.float16))
    with pytest.raises(UseError, match="Nobody says which space"):
        made(untagged, "srgb-png")
    look = tmp_path / "look.cc"
    look.write_text("<ColorCorrection id='a'/>", "utf-8")
    for more, words in (({}, "which space"), ({"look_in": "ACEScct"}, "clamps")):
        with pytest.raises(UseError, match=words):
            made(untagged, "srgb-png", in_space=AP1, look=str(look), **more)
    with pytest.raises(UseError, match="ends in"):
        made(untagged, "srgb-png", in_space=AP1, display="Display P3 - Display")
    with pytest.raises(UseError, match="goes through no view"):
        made(untagged, "ap0-exr", in_space=AP1, view=SDR)


def test_a_look_goes_before_the_view(master: Path, tmp_path: Path):
    """A stop in ACEScct is an offset of 1/17.52 (S-2016-001)."""
    look = tmp_path / "up.cc"
    look.write_text(
        "<ColorCorrection id='up'><SOPNode><Slope>1 1 1</Slope>"
        f"<Offset>{1 / 17.52} {1 / 17.52} {1 / 17.52}</Offset><Power>1 1 1</Power></SOPNode>"
        "<SatNode><Saturation>1</Saturation></SatNode></ColorCorrection>",
        "utf-8",
    )
    grey = written(tmp_path / "grey.exr", np.full((4, 4, 3), 0.18, np.float32), AP1)
    done = made(grey, "srgb-png", look=str(look), look_in="ACEScct", clamp=False, number="16-bit")
    wanted = by_the_library(np.full((1, 3), 0.36, np.float32), "sRGB - Display", SDR)
    assert codes(only(done))[0, 0] / 65535 == pytest.approx(wanted[0], abs=2e-5)


def test_light_that_half_cannot_hold(tmp_path: Path):
    pixels = np.full((4, 4, 3), 0.5, np.float32)
    pixels[1, 2], pixels[2, 2, 0] = 145000, np.nan
    sun = written(tmp_path / "sun.exr", pixels, "lin_ap0_scene")
    (failed,) = made(sun, "st2065-4").failed
    assert "NaN" in failed.reason
    done = made(sun, "st2065-4", mend=True)
    assert done.entries[0]["counts"] == {"not_finite": 1, "beyond_half": 3}
    stored = OpenEXR.File(str(only(done))).channels()["RGB"].pixels
    assert stored[1, 2].tolist() == [65504] * 3
    assert np.isfinite(stored).all()


def test_a_sequence_goes_on_where_it_stopped(tmp_path: Path):
    for frame in (1, 2, 3):
        light = balls(48, 30) * np.float32(frame)
        written(tmp_path / f"tea.{frame:04}.exr", light.astype(np.float16), AP1)
    pattern = tmp_path / "tea.####.exr"
    whole = made(pattern, "acescg-exr")
    assert (whole.made, whole.kept) == (3, 0)
    hashes = [entry["sha256"] for entry in whole.entries]
    (whole.folder / "tea_lin_ap1_scene.0002.exr").unlink()
    again = made(pattern, "acescg-exr")
    assert (again.made, again.kept) == (1, 2)
    assert [entry["sha256"] for entry in again.entries] == hashes
    written(tmp_path / "tea.0003.exr", np.zeros((30, 48, 3), np.float16), AP1)
    (failed,) = made(pattern, "acescg-exr").failed
    assert "is there with other content" in failed.reason


def test_one_folder_holds_one_way(master: Path):
    made(master, "ap0-exr")
    with pytest.raises(UseError, match="in another way"):
        made(master, "acescg-exr")
    with pytest.raises(UseError, match="The masters lie in"):
        primecoat.handover([master], "ap0-exr", master.parent)


def test_more_layers_than_one(tmp_path: Path):
    path = tmp_path / "layers.exr"
    rows = np.full((8, 8, 3), 0.25, np.float16)
    OpenEXR.File(
        {"colorInteropID": AP1}, {"RGB": rows, "glaze": rows, "depth.Z": rows[..., 0]}
    ).write(str(path))
    (failed,) = made(path, "st2065-4").failed
    assert "more than one picture" in failed.reason
    done = made(path, "st2065-4", layer="glaze")
    assert deviations(only(done)) == ()


def test_part_of_a_frame(tmp_path: Path):
    path = tmp_path / "crop.exr"
    rows = np.full((8, 8, 3), 0.25, np.float16)
    header = {
        "colorInteropID": AP1,
        "displayWindow": (np.array([0, 0], "i4"), np.array([19, 19], "i4")),
        "dataWindow": (np.array([4, 4], "i4"), np.array([11, 11], "i4")),
    }
    OpenEXR.File(header, {"RGB": rows}).write(str(path))
    (failed,) = made(path, "srgb-png").failed
    assert "knows no part of a frame" in failed.reason
    exr = OpenEXR.File(str(only(made(path, "ap0-exr")))).header()
    assert [tuple(int(v) for v in corner) for corner in exr["dataWindow"]] == [(4, 4), (11, 11)]


def test_manifest_names_all_that_it_hangs_on(master: Path):
    done = made(master, "srgb-png")
    manifest = json.loads((done.folder / MANIFEST).read_text("utf-8"))
    assert manifest["document"] == "primecoat.handover/1"
    assert manifest["recipe"]["view"] == SDR
    assert manifest["recipe"]["config"] == DEFAULT_CONFIG
    assert set(manifest["libraries"]) == {"OpenColorIO", "OpenImageIO"}
    assert len(manifest["files"][0]["master_sha256"]) == 64


def test_killed_in_the_middle(tmp_path: Path):
    """Nothing half-written under a final name; the next run makes the rest, the same bytes."""
    light = balls(320, 200)
    for frame in range(1, 7):
        written(tmp_path / f"tea.{frame:04}.exr", (light * frame).astype(np.float16), AP1)
    out = tmp_path / "out"
    command = (
        *(sys.executable, "-m", "primecoat", "handover", str(tmp_path / "tea.####.exr")),
        *("--as", "srgb-tiff", "--out", str(out), "--workers", "1"),
    )
    run = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while not list(out.glob("*.tif")) and run.poll() is None and time.monotonic() < deadline:
        time.sleep(0.01)
    run.kill()
    run.wait()
    stopped = sorted(out.glob("*.tif"))
    for path in stopped:
        assert codes(path).shape == (200, 320, 3)
    again = made(tmp_path / "tea.####.exr", "srgb-tiff")
    assert (len(again.entries), again.failed) == (6, ())
    assert again.kept >= len(stopped) - 1
    fresh = primecoat.handover([tmp_path / "tea.####.exr"], "srgb-tiff", tmp_path / "fresh")
    assert [e["sha256"] for e in again.entries] == [e["sha256"] for e in fresh.entries]
    assert not [path for path in out.iterdir() if path.name.startswith(".primecoat")]
