"""Extreme values (trap T6 of needs): counted, kept or refused; one of them harms no other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.bake.files import FLOAT32, bake, planes_of, read, values, write
from tests.bake.independent import converted

from primecoat.plan.recipe import BeyondHalf

AP1, REC709, SRGB = "lin_ap1_scene", "lin_rec709_scene", "srgb_rec709_scene"

LARGEST = 65504.0
"""Largest finite half. Source: IEEE 754-2008, binary16."""

EXTREMES = np.array(
    [65504.0, 65520.0, 145000.0, np.nan, np.inf, -np.inf, -0.1, 5.96e-8, 6.1e-5, 1e-40, 0.0, 1.0]
)
"""Among them the least subnormal and the least normal half, and a subnormal float."""


def sky(dtype: type) -> np.ndarray:
    """Return grey rows with each extreme in each channel once; shape (12, 8, 4)."""
    pixels: np.ndarray = np.full((len(EXTREMES), 8, 4), 0.5, dtype)
    for row, value in enumerate(EXTREMES):
        for channel in range(3):
            with np.errstate(over="ignore"):
                pixels[row, 2 * channel, channel] = np.asarray(value).astype(dtype)
    pixels[..., 3] = 0.25
    return pixels


@pytest.mark.parametrize("dtype", [np.float16, np.float32])
@pytest.mark.parametrize(("reading", "to_space"), [(REC709, AP1), (SRGB, AP1), (AP1, AP1)])
def test_every_extreme_stays_where_it_is(tmp_path: Path, dtype: type, reading, to_space):
    """In float all are kept: what is not finite in its pixel and channel, the rest converted."""
    pixels = sky(dtype)
    picture = write(tmp_path / "sky.exr", pixels)
    target, made = bake(picture, "out.exr", reading, to_space, number="float")
    found = read(target)
    colour = pixels[..., :3]
    wrong = ~np.isfinite(colour)
    assert np.array_equal(found[..., :3][wrong], colour[wrong].astype(np.float32), equal_nan=True)
    assert np.isfinite(found[..., :3][~wrong]).all()
    assert np.array_equal(found[..., 3], pixels[..., 3])
    assert made.tally.not_finite == np.count_nonzero(wrong)
    sound = np.where(wrong, 0, colour).astype(np.float64)
    curved = reading == SRGB
    plain = sound / (0.25 if curved else 1.0)
    wanted = converted(plain, reading, to_space) * (0.25 if curved else 1.0)
    scale = np.maximum(1.0, np.abs(wanted).max(axis=-1, keepdims=True))
    off = np.where(wrong, 0, np.abs(found[..., :3] - wanted))
    assert (off <= FLOAT32 * scale * (4 if curved else 1)).all()


@pytest.mark.parametrize("beyond", ["float", "clamp"])
def test_half_never_becomes_infinite(tmp_path: Path, beyond: BeyondHalf):
    """Asked for half: float where half cannot hold it, or 65504 and a count; no new infinity."""
    pixels = sky(np.float32)
    picture = write(tmp_path / "sky.exr", pixels)
    target, made = bake(picture, "out.exr", AP1, AP1, number="half", beyond_half=beyond)
    found = np.stack([planes_of(target)[name] for name in "RGB"], axis=-1)
    colour = pixels[..., :3]
    assert made.tally.beyond_half == 6
    assert np.array_equal(np.isinf(found), np.isinf(colour))
    assert np.array_equal(np.isnan(found), np.isnan(colour))
    if beyond == "float":
        assert made.number == "float"
        assert found.dtype == np.float32
        assert np.array_equal(found, colour, equal_nan=True)
        return
    assert made.number == "half"
    assert found.dtype == np.float16
    finite = np.isfinite(colour)
    wanted = np.clip(colour, -LARGEST, LARGEST).astype(np.float16)
    assert np.array_equal(found[finite], wanted[finite])


def test_half_subnormals_are_kept(tmp_path: Path):
    """Every half below the least normal one, and both zeros, are the same bits after identity."""
    bits = np.concatenate([np.arange(0x400), 0x8000 + np.arange(0x400)]).astype(np.uint16)
    plane = bits.view(np.float16).reshape(32, 64)
    picture = write(tmp_path / "dark.exr", np.stack([plane] * 3, axis=-1))
    found = planes_of(bake(picture, "out.exr", AP1, AP1)[0])
    for name in "RGB":
        assert np.array_equal(found[name].view(np.uint16) & 0x7FFF, plane.view(np.uint16) & 0x7FFF)


@pytest.mark.parametrize("name", ["out.exr", "out.png", "out.tif"])
def test_black_stays_black(tmp_path: Path, name: str):
    """An all-black picture is all black: no noise, no division by nothing."""
    picture = write(tmp_path / "black.exr", np.zeros((8, 8, 4), np.float16))
    number = "half" if name == "out.exr" else "16-bit"
    target, made = bake(picture, name, SRGB, AP1, number=number)
    assert not read(target).any()
    assert (made.tally.below, made.tally.above, made.tally.not_finite) == (0, 0, 0)


def test_whole_numbers_count_what_they_cannot_hold(tmp_path: Path):
    """Into 16 bits: below 0 and above 1 are counted; NaN is 0, infinity is 0 or 1."""
    pixels = sky(np.float32)[..., :3]
    picture = write(tmp_path / "sky.exr", pixels)
    target, made = bake(picture, "out.png", AP1, AP1, number="16-bit")
    found = read(target)
    wanted = np.nan_to_num(pixels, nan=0.0, posinf=1.0, neginf=0.0).clip(0, 1)
    assert np.abs(values(found) - wanted).max() <= 0.5 / 65535 + 1e-7
    assert made.tally.not_finite == 9
    assert made.tally.below == np.count_nonzero(pixels < 0)
    assert made.tally.above == np.count_nonzero(pixels > 1)


def radiance(path: Path, codes: np.ndarray, *lines: str) -> Path:
    """Write a flat Radiance picture of RGBE codes, by hand. Source: Ward, *Graphics Gems II*."""
    height, width = codes.shape[:2]
    header = "\n".join(("#?RADIANCE", "FORMAT=32-bit_rle_rgbe", *lines, "", ""))
    path.write_bytes(f"{header}-Y {height} +X {width}\n".encode() + codes.tobytes())
    return path


@pytest.mark.parametrize("lines", [(), ("EXPOSURE=0.1",)])
def test_radiance_is_baked_as_the_light_it_means(tmp_path: Path, lines: tuple[str, ...]):
    """RGBE codes become (mantissa + 0.5) 2^(e - 136), EXPOSURE divided out, and are converted.

    A value is mantissa / 256 times 2 to the (exponent - 128); readers differ by half a mantissa.
    """
    codes = np.random.default_rng(6).integers(128, 256, (4, 4, 4), dtype=np.uint8)
    codes[..., 3] = np.random.default_rng(7).integers(100, 145, (4, 4))
    picture = radiance(tmp_path / "sky.hdr", codes, *lines)
    target, made = bake(picture, "out.exr", REC709, AP1)
    light = codes[..., :3] * 2.0 ** (codes[..., 3:].astype(float) - 136)
    half_step = 0.5 * 2.0 ** (codes[..., 3:].astype(float) - 136)
    factor = 10.0 if lines else 1.0
    found = values(read(target))
    low, high = (converted(v * factor, REC709, AP1) for v in (light, light + half_step))
    slack = np.abs(high) * (2.0**-10 if made.number == "half" else 1e-5) + 1e-6
    assert (found >= low - slack).all()
    assert (found <= high + slack).all()
