"""Extreme values are counted channel by channel, and none spoils its neighbours or the survey."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import OpenEXR
import OpenImageIO as oiio
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image
from tests.colour.reference import matrices
from tests.plan import small as s
from tests.reading.worlds import sheet

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.documents import dumps
from primecoat.errors import ImageError
from primecoat.images.image_statistics import ChannelStatistics, ImageStatistics
from primecoat.images.oiio import read_pixels, write_pixels
from primecoat.report.survey_document import survey_document, why_document

Floats = NDArray[np.float32]

HALF_LARGEST = 65504.0
"""Source: IEEE 754-2019, binary16: (2 - 2**-10) * 2**15."""
HALF_SUBNORMAL = 2.0**-24
"""Smallest positive half float. Source: IEEE 754-2019, binary16."""
FLOAT_SUBNORMAL = 2.0**-149
"""Smallest positive single float. Source: IEEE 754-2019, binary32."""

EXTREMES = (65504, 65520, 145000, np.nan, np.inf, -np.inf, -0.1, FLOAT_SUBNORMAL, 1e-40, 0, -0.0)


def ramp(scale: float, rows: int = 24, columns: int = 32) -> Floats:
    """Return rising light with one brightest pixel, all of it between 0 and 1."""
    light = np.linspace(0.01, 0.9, rows * columns).reshape(rows, columns) * scale
    return light.astype(np.float32)


def write_exr(path: Path, channels: Mapping[str, NDArray[np.floating]]) -> Path:
    """Write planes by OpenEXR's own library."""
    header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    with OpenEXR.File(header, dict(channels)) as out:
        out.write(str(path))
    return path


def planes(*extremes: float, **more: Floats) -> dict[str, Floats]:
    """Return R, G, B, A of calm light, R with extreme values from its middle on."""
    red = ramp(0.8)
    red.reshape(-1)[100 : 100 + len(extremes)] = extremes
    return {"R": red, "G": ramp(0.9), "B": ramp(1.0), "A": ramp(0.5)} | more


def survey_of(path: Path, slot: str) -> Survey:
    """Survey a sheet with one use of a picture; its JSON must be sound, also by way of the cache.

    RFC 8259, section 6: NaN and Infinity are no JSON.
    """
    target = sheet(path.parent, f"{path.name},x,{slot},rgb,,")
    found = workflow.survey(target, workers=1)
    again = workflow.survey(target, workers=1)
    assert statistics(again) == statistics(found)
    assert again.findings == found.findings
    sound_json(found, path)
    return found


def sound_json(found: Survey, path: Path) -> None:
    """Read every document of a survey back, and the cache, as strict JSON."""
    (image,) = found.readings.images
    texts = [dumps(survey_document(found)), dumps(why_document(image, found.findings))]
    texts += (path.parent / ".primecoat" / "measures.jsonl").read_text().splitlines()
    assert image.record.statistics is not None
    texts.append(json.dumps(image.record.statistics.as_document()))
    for text in texts:
        json.loads(text, parse_constant=no_constant)


def no_constant(name: str) -> float:
    raise AssertionError(f"{name} is no JSON")


def statistics(found: Survey) -> ImageStatistics:
    """Return the statistics of the one picture."""
    (image,) = found.readings.images
    assert image.record.statistics is not None
    return image.record.statistics


def channels(found: Survey) -> dict[str, ChannelStatistics]:
    """Return the channels of the one picture by name."""
    return {channel.name: channel for channel in statistics(found).channels}


def codes(found: Survey) -> set[str]:
    """Return the codes among PC303 to PC306."""
    return {f.code for f in found.findings} & {"PC303", "PC304", "PC305", "PC306"}


def message(found: Survey, code: str) -> str:
    """Return the words of the one finding with a code."""
    (only,) = [f for f in found.findings if f.code == code]
    return only.message


def expect_exact(channel: ChannelStatistics, plane: NDArray[np.floating]) -> None:
    """Compare counts and extremes with NumPy's own over the plane that was written."""
    finite = plane[np.isfinite(plane)].astype(np.float64)
    assert channel.nan == np.isnan(plane).sum()
    assert channel.infinite == np.isinf(plane).sum()
    assert channel.negative == (finite < 0).sum()
    assert channel.above_one == (finite > 1).sum()
    assert channel.above_half == (finite > HALF_LARGEST).sum()
    assert (channel.minimum, channel.maximum) == (finite.min(), finite.max())
    assert channel.at_maximum == (finite == finite.max()).sum()
    assert channel.mean == pytest.approx(finite.mean(), rel=1e-9)
    assert channel.deviation == pytest.approx(finite.std(), rel=1e-6)


@pytest.mark.parametrize("slot", ["base_color", "environment", "emissive", "height"])
def test_every_extreme_is_counted_in_its_channel(slot: str, tmp_path: Path) -> None:
    """Counts, extremes and moments are exact; G, B and A are as if R were calm."""
    stored = planes(*EXTREMES)
    found = survey_of(write_exr(tmp_path / "a.exr", stored), slot)
    for name, channel in channels(found).items():
        expect_exact(channel, stored[name])
    red = channels(found)["R"]
    assert (red.nan, red.infinite, red.negative, red.above_half) == (1, 2, 1, 2)
    assert (red.minimum, red.maximum) == (float(np.float32(-0.1)), 145000.0)
    beside = tmp_path / "calm"
    beside.mkdir()
    calm = channels(survey_of(write_exr(beside / "a.exr", planes()), slot))
    for name in "GBA":
        assert channels(found)[name] == calm[name]


def test_the_findings_name_the_channel(tmp_path: Path) -> None:
    """PC303, PC304 and PC306 say which channel, how many and how much."""
    found = survey_of(write_exr(tmp_path / "a.exr", planes(*EXTREMES)), "emissive")
    assert codes(found) == {"PC303", "PC304", "PC306"}
    assert "(R: 1 NaN, 2 infinite)" in message(found, "PC303")
    assert "(R: 1, down to -0.1, of 768 pixels)" in message(found, "PC304")
    assert "145000" in message(found, "PC306")


@pytest.mark.parametrize(
    ("extreme", "expected"),
    [
        ((), set()),
        ((np.nan,), {"PC303"}),
        ((np.inf,), {"PC303"}),
        ((-np.inf,), {"PC303"}),
        ((-0.1,), {"PC304"}),
        ((-FLOAT_SUBNORMAL,), {"PC304"}),
        ((-0.0,), set()),
        ((FLOAT_SUBNORMAL, 1e-40), set()),
        ((65504.0,), set()),  # a float may hold it: only a half float ends there
        ((65520.0,), {"PC306"}),
        ((145000.0,), {"PC306"}),
        ((3.4e38,), {"PC306"}),
        ((50.0,) * 8, set()),
        ((50.0,) * 9, {"PC305"}),
        ((145000.0,) * 12, {"PC305", "PC306"}),
        ((np.nan,) * 12, {"PC303"}),
        ((np.inf,) * 12, {"PC303"}),
    ],
)
def test_each_extreme_by_itself(
    extreme: tuple[float, ...], expected: set[str], tmp_path: Path
) -> None:
    """One kind of value brings its own finding and no other."""
    found = survey_of(write_exr(tmp_path / "sky.exr", planes(*extreme)), "environment")
    assert codes(found) == expected


def test_data_may_be_negative(tmp_path: Path) -> None:
    """PC304 is about colour: a height below zero is a height."""
    found = survey_of(write_exr(tmp_path / "a.exr", planes(-0.1)), "height")
    assert channels(found)["R"].negative == 1
    assert codes(found) == set()


def test_half_floats_end_at_65504(tmp_path: Path) -> None:
    """In a half float 65519 is 65504 and 65520 is infinite (IEEE 754-2019, 4.3.1 and binary16)."""
    stored = planes(65519.0, -HALF_LARGEST, HALF_SUBNORMAL)
    half = {name: plane.astype(np.float16) for name, plane in stored.items()}
    found = survey_of(write_exr(tmp_path / "a.exr", half), "environment")
    assert channels(found)["R"].maximum == HALF_LARGEST
    assert channels(found)["R"].infinite == 0
    assert codes(found) == {"PC304", "PC306"}
    assert "1 pixels hold 65504" in message(found, "PC306")
    with np.errstate(over="ignore"):
        half["R"] = planes(65520.0)["R"].astype(np.float16)
    beside = tmp_path / "beside"
    beside.mkdir()
    found = survey_of(write_exr(beside / "a.exr", half), "environment")
    assert channels(found)["R"].infinite == 1
    assert codes(found) == {"PC303"}


def test_subnormals_are_not_flushed(tmp_path: Path) -> None:
    """The smallest half and single floats stay apart from zero."""
    red = np.full((24, 32), FLOAT_SUBNORMAL, dtype=np.float32)
    single = write_exr(tmp_path / "a.exr", planes(R=red))
    assert channels(survey_of(single, "height"))["R"].minimum == FLOAT_SUBNORMAL
    half = {name: plane.astype(np.float16) for name, plane in planes().items()}
    half["R"][:] = HALF_SUBNORMAL
    found = survey_of(write_exr(tmp_path / "b.exr", half), "height")
    assert channels(found)["R"].maximum == HALF_SUBNORMAL
    assert codes(found) == set()


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("spoilt", ["R", "RGB"])
def test_whole_channels_that_are_no_numbers(value: float, spoilt: str, tmp_path: Path) -> None:
    """Without one finite value in a channel nothing fails; sound channels keep theirs."""
    stored = planes()
    for name in spoilt:
        stored[name] = np.full_like(stored[name], value)
    found = survey_of(write_exr(tmp_path / "a.exr", stored), "environment")
    assert codes(found) == {"PC303"}
    for name, channel in channels(found).items():
        if name in spoilt:
            assert channel.nan + channel.infinite == 768
        else:
            expect_exact(channel, stored[name])


def test_one_spoilt_pixel_stays_one_pixel_in_a_bake(tmp_path: Path) -> None:
    """Converted to other primaries, a NaN and an Inf spoil the colour of their own pixel only.

    Source of the matrix: ASWF Color Interop Forum, Recommendation 01, as in ``tests/data``.
    """
    stored = planes(np.nan, np.inf, 145000.0)
    path = write_exr(tmp_path / "sky.exr", stored)
    row = f"{path.name},sky,environment,rgb,lin_rec709_scene,"
    made = s.plan(sheet(tmp_path, row), "bake")
    workflow.apply(made)
    (target,) = [name for name in s.targets(made) if name.endswith(".exr")]
    baked = read_pixels(tmp_path / target)
    assert baked.dtype == np.float32  # 145000 fits into no half float
    spoilt = ~np.isfinite(baked[..., :3]).all(axis=2)
    assert np.flatnonzero(spoilt).tolist() == [100, 101]
    np.testing.assert_array_equal(baked[..., 3], stored["A"])
    source = np.dstack([stored[name] for name in "RGB"]).astype(np.float64)
    to_ap1 = matrices("matrices__color-interop-forum-rec01.csv")["rec709_to_ap1_bradford"]
    expected = source[~spoilt] @ to_ap1.T
    np.testing.assert_allclose(baked[..., :3][~spoilt], expected, rtol=2e-6)


def write_rgbe(path: Path, quads: list[tuple[int, int, int, int]]) -> Path:
    """Write one row of flat RGBE. Source: G. Ward, *The RADIANCE Picture File Format*."""
    head = f"#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 1 +X {len(quads)}\n"
    path.write_bytes(head.encode() + b"".join(bytes(quad) for quad in quads))
    return path


def test_rgbe_holds_great_and_tiny_light(tmp_path: Path) -> None:
    """Mantissa times 2^(E - 136): the greatest, the smallest, 144384 and black, exactly."""
    quads = [
        (255, 128, 1, 255),
        (1, 128, 2, 1),
        (141, 128, 3, 146),
        (0, 0, 0, 0),
        (128, 128, 128, 129),
    ]
    mantissas = np.array([quad[:3] for quad in quads], dtype=np.float64)
    exponents = np.array([quad[3] for quad in quads], dtype=np.float64)
    light = mantissas * 2.0 ** (exponents - 136)[:, None]
    found = survey_of(write_rgbe(tmp_path / "sky.hdr", quads), "environment")
    for at, channel in enumerate(channels(found).values()):
        expect_exact(channel, light[:, at])
    assert codes(found) == {"PC306"}


@pytest.mark.parametrize("value", [-0.1, -5.0, np.nan, np.inf, -np.inf])
def test_rgbe_refuses_what_it_cannot_hold(value: float, tmp_path: Path) -> None:
    """RGBE has no sign and no infinity: nothing is written, and no file is left or replaced."""
    pixels = np.dstack([ramp(0.8), ramp(0.9), ramp(1.0)])
    path = tmp_path / "sky.hdr"
    write_pixels(path, pixels)
    before = path.read_bytes()
    pixels[3, 3, 0] = value
    with pytest.raises(ImageError, match="below zero, infinite or NaN"):
        write_pixels(path, pixels)
    assert path.read_bytes() == before


@pytest.mark.parametrize("value", [-0.1, -0.3, np.nan, np.inf])
def test_the_library_writes_other_light_instead(value: float, tmp_path: Path) -> None:
    """Why it is refused: without a word -0.1 becomes 0.9, and one Inf puts out all channels."""
    pixels = np.full((1, 4, 3), 0.5, dtype=np.float32)
    pixels[0, 2, 0] = value
    path = tmp_path / "sky.hdr"
    out = oiio.ImageOutput.create(str(path))
    assert out is not None
    assert out.open(str(path), oiio.ImageSpec(4, 1, 3, "float"))
    assert out.write_image(pixels)
    assert out.close()
    red, green, blue = read_pixels(path)[0, 2]
    if np.isfinite(value):
        assert red == pytest.approx(1.0 + value, abs=1 / 256)  # the mantissa is taken modulo 256
        assert (green, blue) == (0.5, 0.5)
    else:
        assert (red, green, blue) == (0.0, 0.0, 0.0)


def write_picture(path: Path, side: int, value: int) -> Path:
    """Write a square of one value: 0 is black, 1 is white."""
    shape = (side, side, 3)
    codes_8 = np.full(shape, 255 * value, dtype=np.uint8)
    if path.suffix in (".png", ".jpg", ".webp", ".tga", ".bmp"):
        Image.fromarray(codes_8).save(path)
    elif path.suffix == ".tif":
        floats = np.full(shape, value, dtype=np.float32)
        tifffile.imwrite(path, floats, photometric="rgb", metadata=None)
    elif path.suffix == ".exr":
        plane = np.full((side, side), value, dtype=np.float16)
        write_exr(path, dict.fromkeys("RGB", plane))
    else:
        write_rgbe(path, [(128 * value, 128 * value, 128 * value, 129 * value)] * side**2)
    return path


SLOTS = ("base_color", "normal", "roughness", "height", "emissive", "environment")


@pytest.mark.parametrize("slot", SLOTS)
@pytest.mark.parametrize(
    "suffix", [".png", ".jpg", ".webp", ".tga", ".bmp", ".tif", ".exr", ".hdr"]
)
@pytest.mark.parametrize(("side", "value"), [(1, 0), (1, 1), (8, 0), (40, 0)])
def test_black_and_tiny_pictures(
    side: int, value: int, suffix: str, slot: str, tmp_path: Path
) -> None:
    """All black, or one pixel: nothing fails, and nothing is said of extreme values."""
    path = write_picture(tmp_path / f"a{suffix}", side, value)
    found = survey_of(path, slot)
    assert codes(found) == set()
    errors = {f.code for f in found.findings if f.severity == "error"}
    assert errors <= ({"PC301"} if slot == "normal" else set())
    for channel in statistics(found).channels:
        assert (channel.minimum, channel.maximum) == (value, value)
        assert channel.deviation == 0.0
