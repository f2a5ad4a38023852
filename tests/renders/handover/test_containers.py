"""ST 2065-4 containers: 0 deviations; each planted deviation is told; other EXR files are clean."""

from __future__ import annotations

import struct
from typing import Any

import numpy as np
import OpenEXR
import OpenImageIO as oiio
import pytest
from tests.colour import reference
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.errors import RefusedError, UseError
from primecoat.renders.handover.container import container_deviations

AP0 = (0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.0770, 0.32168, 0.33767)
"""Source: ACES documentation, ACES2065-1 (SMPTE ST 2065-1)."""


def handed(path, kind, **options):
    found = workflow.handover([path], kind, **options)
    assert not found.failed, found.failed
    return found.folder / found.done[0].record.output


def test_container_has_no_deviation_and_the_right_light(tmp_path):
    """Matrix: ACES documentation, TRA2. Policy: OpenImageIO's own strict check of the standard."""
    pixels = m.covered()
    out = handed(m.master(tmp_path / "beauty.exr", pixels), "st2065-4")
    assert container_deviations(out) == ()
    header, stored = m.exr(out)
    assert header["compression"] == OpenEXR.NO_COMPRESSION
    assert header["type"] == OpenEXR.scanlineimage
    assert header["acesImageContainerFlag"] == 1
    assert header["colorInteropID"] == "lin_ap0_scene"
    assert header["chromaticities"] == pytest.approx(AP0, abs=1e-7)
    assert header["Artist"] == "the potter"
    assert stored.dtype == np.float16
    tra2 = reference.matrices("matrices__aces-documentation.csv")
    to_ap0 = next(matrix for name, matrix in tra2.items() if matrix[0, 0] < 1)
    wanted = pixels[..., :3].astype(np.float64) @ to_ap0.T
    np.testing.assert_allclose(stored[..., :3], wanted, rtol=2**-11 * 1.01, atol=2e-6)
    np.testing.assert_array_equal(stored[..., 3], pixels[..., 3].astype(np.float16))
    assert strictly_taken(out)


def strictly_taken(path):
    """Whether OpenImageIO writes a file of the same header under its strict policy."""
    spec = m.spec(path)
    spec.attribute("openexr:ACESContainerPolicy", "strict")
    target = oiio.ImageOutput.create("again.exr")
    assert target is not None
    done = target.open(str(path.with_name("again.exr")), spec)
    target.close()
    return done


@pytest.mark.parametrize(
    ("changed", "channels", "kind", "words"),
    [
        ({"compression": OpenEXR.PIZ_COMPRESSION}, "RGB", "f2", "compressed (method 4)"),
        ({"compression": OpenEXR.ZIP_COMPRESSION}, "RGB", "f2", "compressed (method 3)"),
        ({}, "RGB", "f4", "R is float, not half"),
        ({}, "RGBZ", "f2", "channels B, G, R, Z"),
        ({}, "RG", "f2", "channels G, R"),
        ({"acesImageContainerFlag": 0}, "RGB", "f2", "Flag is 0"),
        ({"acesImageContainerFlag": None}, "RGB", "f2", "acesImageContainerFlag is missing"),
        ({"chromaticities": m.STALE}, "RGB", "f2", "not those of AP0"),
        ({"chromaticities": None}, "RGB", "f2", "chromaticities is missing"),
        ({"colorInteropID": "lin_ap1_scene"}, "RGB", "f2", "colorInteropID is lin_ap1_scene"),
        ({"type": OpenEXR.tiledimage, "tiles": "16"}, "RGB", "f2", "it has tiles"),
        ({"lineOrder": OpenEXR.DECREASING_Y}, "RGB", "f2", "from top to bottom"),
    ],
)
def test_each_deviation_is_told(tmp_path, changed, channels, kind, words):
    header = {
        "compression": OpenEXR.NO_COMPRESSION,
        "type": OpenEXR.scanlineimage,
        "lineOrder": OpenEXR.INCREASING_Y,
        "acesImageContainerFlag": 1,
        "chromaticities": AP0,
        "colorInteropID": "lin_ap0_scene",
        **changed,
    }
    header = {name: value for name, value in header.items() if value is not None}
    if "tiles" in header:
        header["tiles"] = OpenEXR.TileDescription()
    planes = {name: np.full((32, 32), 0.18, kind) for name in channels}
    path = tmp_path / "other.exr"
    OpenEXR.File(header, planes).write(str(path))
    found = container_deviations(path)
    assert any(words in one for one in found), found
    assert len(found) == (3 if kind == "f4" else 1), found


def test_sound_file_by_another_writer_passes(tmp_path):
    header = {
        "compression": OpenEXR.NO_COMPRESSION,
        "type": OpenEXR.scanlineimage,
        "acesImageContainerFlag": 1,
        "chromaticities": AP0,
        "colorInteropID": "lin_ap0_scene",
    }
    OpenEXR.File(header, {c: np.ones((4, 4), "f2") for c in "ABGR"}).write(str(tmp_path / "a.exr"))
    assert container_deviations(tmp_path / "a.exr") == ()


@pytest.mark.parametrize(
    "asked", [{"compression": "piz"}, {"compression": "zip"}, {"number": "float"}]
)
def test_a_request_that_the_standard_forbids_is_refused(tmp_path, asked):
    path = m.master(tmp_path / "beauty.exr", m.light())
    with pytest.raises(UseError, match="ST 2065-4 allows no other"):
        workflow.handover([path], "st2065-4", **asked)
    assert [p.name for p in tmp_path.iterdir()] == ["beauty.exr"]


def test_several_layers_are_refused_unless_the_rest_is_left_out(tmp_path):
    planes = {name: np.full((4, 4), 0.18, "f2") for name in ("R", "G", "B", "key.R", "key.G")}
    planes |= {"key.B": np.full((4, 4), 0.5, "f2"), "Z": np.full((4, 4), 9, "f4")}
    path = tmp_path / "layers.exr"
    head = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    OpenEXR.File(head | {"colorInteropID": m.AP1}, planes).write(str(path))
    for kind in ("st2065-4", "acescg-exr"):
        with pytest.raises(RefusedError, match="more than one picture"):
            workflow.handover([path], kind)
    out = handed(path, "st2065-4", leave_out=True)
    assert container_deviations(out) == ()
    key = handed(path, "acescg-exr", leave_out=True, layer="key")
    np.testing.assert_array_equal(m.exr(key)[1][..., 2], np.float16(0.5))


@pytest.mark.parametrize("packed", ["none", "zips", "zip", "piz"])
@pytest.mark.parametrize(("kind", "space"), [("ap0-exr", "lin_ap0_scene"), ("acescg-exr", m.AP1)])
def test_other_exr_files_state_their_id_and_nothing_else(tmp_path, kind, space, packed):
    """Color Interop Forum, *Identifying the Color Space of OpenEXR Files*: no chromaticities."""
    path = m.master(tmp_path / "beauty.exr", m.covered())
    out = handed(path, kind, number="float", compression=packed)
    header, stored = m.exr(out)
    assert header["colorInteropID"] == space
    assert not {"chromaticities", "acesImageContainerFlag"} & header.keys()
    assert stored.dtype == np.float32
    np.testing.assert_array_equal(stored[..., 3], m.covered()[..., 3])
    if space == m.AP1:
        np.testing.assert_array_equal(stored, m.covered())


def test_windows_and_tiles(tmp_path):
    """A master's place in its frame is kept; its tiles are not, which the standard forbids."""
    pixels = np.random.default_rng(3).random((3, 32, 48)).astype("f2")
    box = (np.array([4, 2], "i4"), np.array([51, 33], "i4"))
    head = {
        "compression": OpenEXR.ZIP_COMPRESSION,
        "type": OpenEXR.tiledimage,
        "tiles": OpenEXR.TileDescription(),
        "colorInteropID": "lin_ap0_scene",
        "dataWindow": box,
        "displayWindow": (np.array([0, 0], "i4"), np.array([63, 47], "i4")),
    }
    path = tmp_path / "crop.exr"
    OpenEXR.File(head, dict(zip("RGB", pixels, strict=True))).write(str(path))
    out = handed(path, "st2065-4")
    header, stored = m.exr(out)
    assert container_deviations(out) == ()
    assert [tuple(corner) for corner in header["dataWindow"]] == [(4, 2), (51, 33)]
    np.testing.assert_array_equal(stored, np.moveaxis(pixels, 0, -1))
    with pytest.raises(RefusedError, match=r"of a frame of 64 x 48"):
        workflow.handover([path], "srgb-png")


def test_the_header_is_read_from_its_bytes(tmp_path):
    """The flag, found in the file by its bytes: name, type int, size 4, value 1."""
    out = handed(m.master(tmp_path / "beauty.exr", m.light()), "st2065-4")
    asked = b"acesImageContainerFlag\0int\0" + struct.pack("<ii", 4, 1)
    data = out.read_bytes()
    assert data.count(asked) == 1
    out.write_bytes(data.replace(asked, asked[:-4] + struct.pack("<i", 2)))
    assert container_deviations(out) == ("acesImageContainerFlag is 2, not 1",)


def test_nothing_that_speaks_of_colour_is_inherited(tmp_path):
    """Color Interop Forum, *Identifying the Color Space of OpenEXR Files*: drop what is stale."""
    stale: dict[str, Any] = {
        "Exif:ColorSpace": 1,
        "Exif:Gamma": 2.2,
        "ICCProfile": bytes(200),
        "adoptedNeutral": 2.0,
        "renderingTransform": "of the old show",
        "gamma": 2.2,
        "framesPerSecond": 24.0,
    }
    path = m.master(tmp_path / "beauty.exr", m.light(), **stale)
    for kind in ("st2065-4", "ap0-exr", "acescg-exr", "srgb-png", "srgb-jpeg", "srgb-tiff"):
        spec = m.spec(handed(path, kind))
        there = {item.name for item in spec.extra_attribs} & stale.keys()
        wanted = {"ICCProfile"} if kind in ("srgb-jpeg", "srgb-tiff") else set()
        assert there - {"framesPerSecond"} == wanted, kind
        if wanted:
            assert bytes(bytearray(spec.getattribute("ICCProfile")))[36:40] == b"acsp"
