"""Headers that mislead: tags that contradict, rare formats, channels and parts."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Literal

import imagecodecs
import numpy as np
import OpenEXR
import pytest
import tifffile
from PIL import Image
from tests.images import profiles as icc
from tests.images import written as w

from primecoat.errors import ImageError
from primecoat.images.header import ImageHeader
from primecoat.images.oiio import read_bands, read_pixels
from primecoat.images.read_header import read_header
from primecoat.scenes.usd.automatic import automatic

INKS = np.full((8, 8, 4), (10, 100, 200, 30), np.uint8)


def header_of(folder: Path, name: str, data: bytes) -> ImageHeader:
    path = folder / name
    path.write_bytes(data)
    return read_header(path)


class TestTagsThatContradict:
    """Contents and chunk precedence decide, not a description."""

    @pytest.mark.parametrize(
        ("profile", "reading"),
        [
            (icc.rgb_profile("rec709", icc.LINEAR), "lin_rec709_scene"),
            (icc.rgb_profile("rec709", icc.para(0, 2.2)), "g22_rec709_scene"),
            (icc.rgb_profile("p3d65", icc.SRGB_CURVE), "srgb_p3d65_scene"),
        ],
    )
    def test_profile_described_as_srgb(self, profile: bytes, reading: str, tmp_path: Path):
        assert b"sRGB IEC61966-2.1" in profile
        out = io.BytesIO()
        Image.fromarray(w.pixels()).save(out, "PNG", icc_profile=profile)
        (said,) = header_of(tmp_path, "bowl.png", out.getvalue()).statements
        assert (said.kind, said.reading, said.firm) == ("ICC profile", reading, True)

    def test_gamma_45455_alone_leaves_two_open(self, tmp_path: Path):
        (said,) = header_of(tmp_path, "bowl.png", w.png(w.gama(45455))).statements
        assert said.reading is None
        assert said.among == ("srgb_rec709_scene", "g22_rec709_scene")
        assert "ask" in said.words

    def test_gamma_100000_is_linear(self, tmp_path: Path):
        (said,) = header_of(tmp_path, "bowl.png", w.png(w.gama(100000))).statements
        assert said.reading == "lin_rec709_scene"

    def test_gamma_with_ap1_primaries(self, tmp_path: Path):
        data = w.png(w.gama(100000), w.chrm(w.AP1_CHRM))
        assert header_of(tmp_path, "bowl.png", data).statements[0].reading == "lin_ap1_scene"
        data = w.png(w.gama(45455), w.chrm(w.AP1_CHRM))
        said = header_of(tmp_path, "bowl.png", data).statements[0]
        assert said.among == ("srgb_ap1_scene", "g22_ap1_scene")

    def test_cicp_comes_before_srgb(self, tmp_path: Path):
        data = w.png(w.chunk(b"sRGB", b"\0"), w.chunk(b"cICP", b"\x0c\x0d\0\1"))
        kinds = [(s.kind, s.reading) for s in header_of(tmp_path, "bowl.png", data).statements]
        assert kinds == [("cICP", "srgb_p3d65_scene"), ("sRGB chunk", "srgb_rec709_scene")]


class TestFormatsNobodyTests:
    """Ink is refused, grey stays grey, and 16 bits say nothing of linear."""

    @pytest.mark.parametrize("profile", [b"", icc.table_profile(b"CMYK")])
    def test_ink_in_jpeg(self, profile: bytes, tmp_path: Path):
        out = io.BytesIO()
        Image.fromarray(INKS, "CMYK").save(out, "JPEG", icc_profile=profile or None)
        header = header_of(tmp_path, "bowl.jpg", out.getvalue())
        assert header.storage == ("CMYK",)
        assert {(s.reading, s.firm) for s in header.statements} == {(None, True)}
        assert [s.kind for s in header.statements] == [*["ICC profile"] * bool(profile), "CMYK"]
        with pytest.raises(ImageError, match="CMYK") as caught:
            read_pixels(tmp_path / "bowl.jpg")
        assert "ICC profile" in caught.value.remedy

    @pytest.mark.parametrize("photometric", ["separated", "cielab"])
    def test_ink_and_lab_in_tiff(self, photometric: str, tmp_path: Path):
        path = tmp_path / "bowl.tif"
        channels = 4 if photometric == "separated" else 3
        tifffile.imwrite(path, INKS[..., :channels], photometric=photometric)
        assert read_header(path).statements[0].firm
        with pytest.raises(ImageError, match=r"CMYK|CIELab"):
            list(read_bands(path))

    def test_palette_with_transparency(self, tmp_path: Path):
        out = io.BytesIO()
        Image.fromarray(w.pixels()).quantize(8).save(out, "PNG", transparency=0)
        header = header_of(tmp_path, "bowl.png", out.getvalue())
        assert header.storage == ("palette", "entries of the palette transparent (tRNS)")
        assert (header.channels, header.alpha) == (("R", "G", "B", "A"), "unassociated")

    def test_one_channel_albedo(self, tmp_path: Path):
        out = io.BytesIO()
        Image.fromarray(w.pixels(1)[..., 0]).save(out, "PNG")
        header = header_of(tmp_path, "bowl_albedo.png", out.getvalue())
        assert (header.channels, header.statements) == (("Y",), ())
        assert automatic(header)[0] == "data"  # what 'auto' comes to, and it is told
        assert "1 channel" in automatic(header)[1]

    def test_grey_with_alpha(self, tmp_path: Path):
        data = bytes(imagecodecs.png_encode(w.pixels(2)))
        header = header_of(tmp_path, "bowl.png", data)
        assert (header.channels, header.alpha) == (("Y", "A"), "unassociated")
        assert np.array_equal(read_pixels(tmp_path / "bowl.png"), w.pixels(2))

    def test_sixteen_bits_without_a_chunk_say_nothing(self, tmp_path: Path):
        data = bytes(imagecodecs.png_encode(w.pixels(dtype="uint16")))
        header = header_of(tmp_path, "bowl.png", data)
        assert (header.pixel_type, header.statements) == ("uint16", ())

    @pytest.mark.parametrize("order", ["<", ">"])
    def test_planar_tiff(self, order: Literal["<", ">"], tmp_path: Path):
        path = tmp_path / "bowl.tif"
        pixels = w.pixels(dtype="uint16")
        planes = np.moveaxis(pixels, 2, 0)
        tifffile.imwrite(path, planes, photometric="rgb", planarconfig="separate", byteorder=order)
        assert "planar" in read_header(path).storage
        assert np.array_equal(read_pixels(path), pixels)

    def test_tga_stores_blue_first(self, tmp_path: Path):
        path = tmp_path / "bowl.tga"
        Image.fromarray(w.pixels()).save(path)
        assert read_header(path).channels == ("R", "G", "B")
        assert np.array_equal(read_pixels(path), w.pixels())


class TestChannelsAndParts:
    """Channels are known by name and part, and keep their types."""

    def test_normals_before_colour_and_mixed_types(self, tmp_path: Path):
        path = tmp_path / "beauty.exr"
        half, full = np.ones((4, 4), np.float16), np.ones((4, 4), np.float32)
        channels = {
            **{f"N.{axis}": full for axis in "XYZ"},
            **dict.fromkeys("RGBA", half),
            "id": np.ones((4, 4), np.uint32),
        }
        OpenEXR.File({"colorInteropID": "lin_ap1_scene"}, channels).write(str(path))
        header = read_header(path)
        assert set(header.channels) == set(channels)
        assert header.storage == ("channels of the types float, half, uint32",)
        assert header.alpha == "associated"
        assert header.statements[0].reading == "lin_ap1_scene"

    def test_depth_beside_colour(self, tmp_path: Path):
        path = tmp_path / "rgbz.exr"
        channels = {**dict.fromkeys("RGB", np.ones((4, 4), np.float16))}
        OpenEXR.File({}, {**channels, "Z": np.full((4, 4), 100, np.float32)}).write(str(path))
        header = read_header(path)
        assert (set(header.channels), header.alpha) == ({"R", "G", "B", "Z"}, "none")

    def test_all_parts_named_rgb(self, tmp_path: Path):
        path = tmp_path / "parts.exr"
        half = np.ones((4, 4), np.float16)
        made = [
            OpenEXR.Part({"colorInteropID": space}, dict.fromkeys("RGB", half), name=name)
            for name, space in (("beauty", "lin_ap1_scene"), ("normal", "data"))
        ]
        made.append(
            OpenEXR.Part({"type": OpenEXR.scanlineimage}, {"Z": half.astype(np.float32)}, name="z")
        )
        OpenEXR.File(made).write(str(path))
        header = read_header(path)
        told = [(p.name, p.channels, p.pixel_types) for p in header.part_headers]
        assert told == [
            ("beauty", ("B", "G", "R"), ("half",) * 3),
            ("normal", ("B", "G", "R"), ("half",) * 3),
            ("z", ("Z",), ("float",)),
        ]
        stated = [[s.reading for s in p.statements] for p in header.part_headers]
        assert stated == [["lin_ap1_scene"], ["data"], []]
