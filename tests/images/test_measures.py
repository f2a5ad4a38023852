"""Each measure of the pixels against pictures made to have, or not to have, what it measures."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.images import generated as g

from primecoat.images.fingerprint import middle, spatial_correlation, tile_distances
from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.levels import measure_levels
from primecoat.images.oiio import write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure


def measured(path: Path, pixels: np.ndarray) -> ImageStatistics:
    write_pixels(path, pixels if pixels.ndim == 3 else pixels[..., None])
    return measure(path, read_header(path))


def eight(values: np.ndarray) -> np.ndarray:
    return np.asarray(np.rint(np.clip(values, 0, 1) * 255), dtype=np.uint8)


def smooth(seed: int, size: int = 256) -> np.ndarray:
    """Return a smooth field that uses 0 to 1 well."""
    return np.clip(0.5 + 0.2 * g.smooth_noise(np.random.default_rng(seed), size, 1.6), 0.0, 1.0)


# --- levels -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("curve", "conversion"), [(g.srgb_encoded, "srgb_encoded"), (g.srgb_decoded, "srgb_decoded")]
)
def test_comb_gaps_name_their_curve(curve, conversion: str, tmp_path: Path):
    found = measured(tmp_path / "a.png", eight(curve(eight(smooth(1)) / 255))).levels
    assert found is not None
    assert found.conversion == conversion
    assert found.gaps >= 10
    assert found.fit > 0.9


@pytest.mark.parametrize("factor", [1.1, 1.37, 255 / 219])
def test_comb_gaps_of_a_stretch(factor: float, tmp_path: Path):
    codes = eight(0.2 + 0.4 * smooth(2)).astype(float)
    found = measured(
        tmp_path / "a.png", np.clip(np.rint(codes * factor - 30), 0, 255).astype(np.uint8)
    )
    assert found.levels is not None
    assert found.levels.conversion == "stretched"


@pytest.mark.parametrize("seed", range(8))
def test_no_gaps_no_conversion(seed: int, tmp_path: Path):
    rng = np.random.default_rng(seed)
    for number, values in enumerate((smooth(seed), g.colours(rng), g.sky(rng))):
        found = measured(tmp_path / f"{number}.png", eight(values)).levels
        assert found is not None
        assert found.conversion is None


@pytest.mark.parametrize("name", ["a.png", "a.exr"])
@pytest.mark.parametrize("way", ["straight", "srgb_decoded", "srgb_encoded", None])
def test_deep_files_with_eight_bit_ancestors(name: str, way: str | None, tmp_path: Path):
    values = smooth(3)
    if way is not None:
        values = eight(values) / 255
        curves = {"srgb_decoded": g.srgb_decoded, "srgb_encoded": g.srgb_encoded}
        values = curves[way](values) if way in curves else values
    deep = np.rint(values * 65535).astype(np.uint16) if name == "a.png" else values.astype("f2")
    found = measured(tmp_path / name, deep).levels
    assert found is not None
    assert found.lattice == way


def test_dark_steps_of_linear_light():
    """Below a twentieth of full light, linear 8-bit codes have 12 steps, sRGB codes over 60."""
    dark = smooth(4).reshape(1, -1) * 0.045
    linear, encoded = measure_levels(eight(dark)), measure_levels(eight(g.srgb_encoded(dark)))
    assert linear is not None
    assert encoded is not None
    assert linear.dark_share > 0.9 > 0.1 > encoded.dark_share


# --- range ------------------------------------------------------------------------------------


def test_half_overflow_plateau_and_stops(tmp_path: Path):
    pixels = np.full((300, 400, 3), 0.25, dtype=np.float32)
    pixels[:, 200:] = 0.5
    y, x = np.mgrid[0:300, 0:400]
    sun = (y - 100) ** 2 + (x - 50) ** 2 <= 36
    pixels[sun] = 70000.0
    found = measured(tmp_path / "a.exr", pixels)
    assert found.range is not None
    assert [c.above_half for c in found.channels] == [int(sun.sum())] * 3
    assert found.range.plateau == sun.sum()
    assert (found.range.plateau_rows, found.range.plateau_columns) == (13, 13)
    assert found.range.stops == pytest.approx(np.log2(70000 / 0.25), abs=0.01)


def test_a_measured_sun_has_no_plateau(tmp_path: Path):
    y, x = np.mgrid[0:200, 0:200]
    pixels = (0.5 + 5000.0 * np.exp(-((y - 90) ** 2 + (x - 70.3) ** 2) / 20)).astype(np.float32)
    found = measured(tmp_path / "a.exr", np.repeat(pixels[..., None], 3, axis=2))
    assert found.range is not None
    assert found.range.plateau == 0


# --- blocks -----------------------------------------------------------------------------------


@pytest.mark.parametrize("quality", [40, 70])
@pytest.mark.parametrize("crop", [(0, 0), (3, 5)])
def test_blocks_of_a_jpeg_saved_again_as_png(quality: int, crop: tuple[int, int], tmp_path: Path):
    """The codec is the imaging library's; a cropped picture shows the blocks too."""
    grain = 0.02 * np.random.default_rng(5).normal(size=(256, 256))
    out = io.BytesIO()
    Image.fromarray(eight(smooth(5) + grain)).save(out, "JPEG", quality=quality)
    again = np.asarray(Image.open(out))[crop[0] :, crop[1] :]
    found = measured(tmp_path / "a.png", again).blocks
    assert found is not None
    assert found.strength > 0.15
    assert found.errors > 8


def test_no_blocks_without_the_codec(tmp_path: Path):
    for seed in range(10):
        grain = 0.02 * np.random.default_rng(seed).normal(size=(256, 256))
        found = measured(tmp_path / "a.png", eight(smooth(seed) + grain)).blocks
        assert found is not None
        assert found.strength < 0.1
        assert found.errors < 4


# --- channels ---------------------------------------------------------------------------------


def test_packed_channels_go_their_own_ways(tmp_path: Path):
    occlusion = np.clip(
        1.0 - 0.3 * np.maximum(0, g.smooth_noise(np.random.default_rng(1), 256, 1.5)), 0, 1
    )
    mask = (smooth(3) > 0.55).astype(float)
    packed = measured(tmp_path / "a.png", eight(np.dstack([occlusion, smooth(2), mask])))
    picture = measured(
        tmp_path / "b.png", eight(g.cloth(np.random.default_rng(4), (0.6, 0.4, 0.3), 256))
    )

    def most(found: ImageStatistics) -> float:
        return max(pair.information or 0.0 for pair in found.pairs)

    assert most(packed) < 0.15 < 0.3 < most(picture)
    assert packed.channels[2].bimodality == pytest.approx(1.0)
    assert packed.channels[1].bimodality is not None
    assert packed.channels[1].bimodality < 0.75
    assert packed.channels[0].skewness is not None
    assert packed.channels[0].skewness < -0.5
    assert packed.neighbours is not None
    assert packed.neighbours.detail_together is not None
    assert picture.neighbours is not None
    assert picture.neighbours.detail_together is not None
    assert packed.neighbours.detail_together < 0.3 < 0.8 < picture.neighbours.detail_together


def test_chroma_of_known_colours(tmp_path: Path):
    pixels = np.zeros((64, 64, 3), dtype=np.uint8)
    pixels[:32] = (255, 0, 0)
    pixels[32:] = (128, 128, 128)
    found = measured(tmp_path / "a.png", pixels).chroma
    assert found is not None
    assert found.mean_chroma == pytest.approx(0.5)
    assert (found.grey, found.saturated) == (0.5, 0.5)
    assert found.hue_spread == pytest.approx(0.0, abs=1e-3)
    # IEC 61966-2-1: code 128 is 0.2158605 of light; Rec. ITU-R BT.709: red weighs 0.2126.
    assert found.linear_percentiles[0] == pytest.approx(0.2126, abs=2e-4)
    assert found.linear_percentiles[-1] == pytest.approx(0.2158605, abs=2e-4)


def test_empty_space(tmp_path: Path):
    pixels = np.zeros((100, 100, 3), dtype=np.uint8)
    pixels[25:75, 25:75] = eight(g.colours(np.random.default_rng(1), 50))
    found = measured(tmp_path / "a.png", pixels).coverage
    assert found is not None
    assert found.commonest == pytest.approx(0.75, abs=0.01)


@pytest.mark.parametrize("exponent", [1.0, 1.3, 1.6])
def test_steps_of_channels_under_a_power(exponent: float, tmp_path: Path):
    """Where the weak channel is a power of the strong one, its steps in stops are as much greater.

    The encoding is undone first (IEC 61966-2-1), so that light alone gives 1.
    """
    strong = 0.3 + 0.5 * smooth(11)
    light = np.dstack([strong, 0.5 * strong**exponent, 0.25 * strong**exponent])
    one_hue = measured(tmp_path / "one.png", eight(g.srgb_encoded(light))).tone
    assert one_hue is None  # a pigment could do that
    light = np.concatenate([light, light[..., ::-1]])
    tone = measured(tmp_path / "a.png", eight(g.srgb_encoded(light))).tone
    assert tone is not None
    assert tone.uneven == pytest.approx(exponent, rel=0.03)
    assert tone.alike > 0.95


def test_chroma_that_a_codec_took(tmp_path: Path):
    """Half resolution of chroma is told; the same picture without a codec keeps all of it."""
    rng = np.random.default_rng(12)
    shade = 0.3 + 0.4 * rng.random((256, 256, 1))
    light = shade * np.repeat([[[0.9, 0.4, 0.2]], [[0.2, 0.4, 0.9]]], 128, axis=0)
    codes = eight(g.srgb_encoded(light))
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "JPEG", quality=92, subsampling=2)
    whole = measured(tmp_path / "a.png", codes).tone
    taken = measured(tmp_path / "b.png", np.asarray(Image.open(out))).tone
    assert whole is not None
    assert whole.chroma_kept > 0.8
    assert taken is None or taken.chroma_kept < 0.6


def test_noise_and_pictures_differ_in_space(tmp_path: Path):
    noise = measured(
        tmp_path / "a.png", eight(np.random.default_rng(1).random((256, 256)))
    ).neighbours
    picture = measured(
        tmp_path / "b.png", eight(g.colours(np.random.default_rng(2), 256))
    ).neighbours
    assert noise is not None
    assert picture is not None
    assert abs(noise.autocorrelation[0]) < 0.05 < 0.8 < picture.autocorrelation[0]
    assert noise.step_growth == pytest.approx(0.0, abs=0.05)
    assert noise.step_kurtosis is not None
    assert picture.step_kurtosis is not None
    assert noise.step_kurtosis < 3.0 < 6.0 < picture.step_kurtosis


# --- between pictures -------------------------------------------------------------------------


def test_glossiness_is_the_opposite_of_roughness(tmp_path: Path):
    rough = measured(tmp_path / "a.png", eight(smooth(1))).fingerprint
    gloss = measured(tmp_path / "b.png", eight(1.0 - smooth(1))).fingerprint
    other = measured(tmp_path / "c.png", eight(smooth(2))).fingerprint
    assert rough is not None
    assert gloss is not None
    assert other is not None
    assert spatial_correlation(rough, gloss) == pytest.approx(-1.0, abs=0.01)
    unrelated = spatial_correlation(rough, other)
    assert unrelated is not None
    assert abs(unrelated) < 0.6


def test_a_tile_behind_a_curve_is_told_from_its_set(tmp_path: Path):
    tiles = [measured(tmp_path / f"{s}.png", eight(smooth(s))).fingerprint for s in range(5)]
    odd = measured(tmp_path / "odd.png", eight(g.srgb_encoded(smooth(9)))).fingerprint
    usual = middle(tuple(tile for tile in tiles if tile is not None))
    assert odd is not None
    assert usual is not None
    apart = tile_distances(odd, usual)
    assert min(apart, key=lambda way: apart[way]) == "srgb_encoded"
    for tile in tiles:
        assert tile is not None
        apart = tile_distances(tile, usual)
        assert min(apart, key=lambda way: apart[way]) == "same"


@pytest.mark.parametrize("shape", [(1, 1, 3), (1, 300, 1), (7, 5, 4), (65, 64, 2), (300, 17, 3)])
@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float32"])
def test_any_size_comes_back_from_json(shape: tuple[int, int, int], dtype: str, tmp_path: Path):
    rng = np.random.default_rng(1)
    values = rng.random(shape) if dtype == "float32" else rng.integers(0, 256, shape)
    path = tmp_path / ("a.exr" if dtype == "float32" else "a.tif")
    found = measured(path, values.astype(dtype))
    text = json.dumps(found.as_document(), allow_nan=False)
    assert ImageStatistics.from_document(json.loads(text)) == found
