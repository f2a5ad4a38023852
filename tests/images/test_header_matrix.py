"""24 PNG, JPEG and TIFF files, and some more, by independent writers, each read right."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import pytest
import tifffile
from PIL import Image, ImageCms
from tests.images import profiles as icc
from tests.images import written as w

from primecoat.images.read_header import read_header

Rules = tuple[str, str | None, bool] | None
"""Kind, reading and firmness of the statement that rules; None for a file that states nothing."""

G22 = icc.para(0, 563 / 256)
AP1_XY = (0.713, 0.293, 0.165, 0.830, 0.128, 0.044, 0.32168, 0.33767)


def pillow(form: str, channels: int = 3, **options: Any) -> bytes:
    out = io.BytesIO()
    mode = {1: "L", 3: "RGB", 4: "RGBA"}[channels]
    array = w.pixels(channels).squeeze()
    picture = Image.fromarray(array).convert("CMYK" if options.pop("cmyk", False) else mode)
    picture.save(out, form, **options)
    return out.getvalue()


def tiff(array: np.ndarray, **options: Any) -> bytes:
    out = io.BytesIO()
    tifffile.imwrite(out, array, **options)
    return out.getvalue()


def pillow_srgb() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


MATRIX: dict[str, tuple[str, Callable[[], bytes], Rules]] = {
    "plain": ("png", lambda: pillow("PNG"), None),
    "16 bit, plain": ("png", lambda: bytes(imagecodecs.png_encode(w.pixels(dtype="uint16"))), None),
    "sRGB": (
        "png",
        lambda: w.png(w.chunk(b"sRGB", b"\1"), w.gama(45455)),
        ("sRGB chunk", "srgb_rec709_scene", True),
    ),
    "gAMA 45455": ("png", lambda: w.png(w.gama(45455)), ("gAMA and cHRM", None, False)),
    "gAMA 45455, cHRM": (
        "png",
        lambda: w.png(w.gama(45455), w.chrm(w.SRGB_CHRM)),
        ("gAMA and cHRM", None, False),
    ),
    "gAMA 100000": (
        "png",
        lambda: w.png(w.gama(100000)),
        ("gAMA and cHRM", "lin_rec709_scene", False),
    ),
    "gAMA 100000, cHRM": (
        "png",
        lambda: w.png(w.gama(100000), w.chrm(w.SRGB_CHRM), depth=16),
        ("gAMA and cHRM", "lin_rec709_scene", True),
    ),
    "gAMA 100000, cHRM AP1": (
        "png",
        lambda: w.png(w.chrm(w.AP1_CHRM), w.gama(100000), depth=16),
        ("gAMA and cHRM", "lin_ap1_scene", True),
    ),
    "gAMA and cHRM of Adobe RGB": (
        "png",
        lambda: w.png(w.gama(45470), w.chrm(w.ADOBE_CHRM)),
        ("gAMA and cHRM", "g22_adobergb_scene", True),
    ),
    "cICP P3 beside sRGB": (
        "png",
        lambda: w.png(w.chunk(b"sRGB", b"\0"), w.chunk(b"cICP", b"\x0c\x0d\0\1")),
        ("cICP", "srgb_p3d65_scene", True),
    ),
    "cICP PQ": (
        "png",
        lambda: w.png(w.chunk(b"cICP", b"\x09\x10\0\1"), depth=16),
        ("cICP", "pq_rec2020_display", True),
    ),
    "cICP narrow range": (
        "png",
        lambda: w.png(w.chunk(b"cICP", b"\x01\x01\0\0")),
        ("cICP", None, True),
    ),
    "iCCP sRGB": (
        "png",
        lambda: pillow("PNG", icc_profile=pillow_srgb()),
        ("ICC profile", "srgb_rec709_scene", True),
    ),
    "iCCP linear, called sRGB, beside gAMA": (
        "png",
        lambda: w.png(w.iccp(icc.rgb_profile("rec709", icc.LINEAR)), w.gama(45455)),
        ("ICC profile", "lin_rec709_scene", True),
    ),
    "iCCP Adobe RGB": (
        "png",
        lambda: pillow("PNG", icc_profile=icc.rgb_profile("adobergb", G22)),
        ("ICC profile", "g22_adobergb_scene", True),
    ),
    "iCCP P3 beside sRGB": (
        "png",
        lambda: w.png(w.chunk(b"sRGB", b"\0"), w.iccp(icc.rgb_profile("p3d65", icc.SRGB_CURVE))),
        ("ICC profile", "srgb_p3d65_scene", True),
    ),
    "grey with a grey profile of gamma 1.8": (
        "png",
        lambda: w.png(w.iccp(icc.grey_profile(icc.curv(461))), grey=True),
        ("ICC profile", "g18_rec709_scene", True),
    ),
    "jpeg, plain": ("jpg", lambda: pillow("JPEG"), None),
    "jpeg, P3 in two segments": (
        "jpg",
        lambda: w.jpeg(
            w.pixels(),
            *w.icc_segments(icc.rgb_profile("p3d65", icc.SRGB_CURVE, padding=70000)),
        ),
        ("ICC profile", "srgb_p3d65_scene", True),
    ),
    "jpeg, EXIF sRGB": (
        "jpg",
        lambda: pillow("JPEG", exif=b"Exif\0\0" + w.exif(1)),
        ("EXIF ColorSpace", "srgb_rec709_scene", True),
    ),
    "jpeg, EXIF uncalibrated, R03": (
        "jpg",
        lambda: pillow("JPEG", exif=b"Exif\0\0" + w.exif(0xFFFF, b"R03")),
        ("EXIF ColorSpace", "g22_adobergb_scene", True),
    ),
    "jpeg, CMYK": ("jpg", lambda: pillow("JPEG", cmyk=True), ("CMYK", None, True)),
    "tiff, planar 16 bit, ProPhoto called sRGB": (
        "tif",
        lambda: tiff(
            np.moveaxis(w.pixels(dtype="uint16"), 2, 0),
            photometric="rgb",
            planarconfig="separate",
            iccprofile=icc.rgb_profile("prophoto", icc.curv(461)),
        ),
        ("ICC profile", None, True),
    ),
    "tiff, plain": ("tif", lambda: tiff(w.pixels(), photometric="rgb"), None),
}


def test_matrix_has_24_files():
    assert len(MATRIX) == 24


@pytest.mark.parametrize("name", MATRIX)
def test_statement_that_rules(name: str, tmp_path: Path):
    suffix, write, expected = MATRIX[name]
    path = tmp_path / f"picture.{suffix}"
    path.write_bytes(write())
    statements = read_header(path).statements
    found = statements[0] if statements else None
    assert (found and (found.kind, found.reading, found.firm)) == expected
    assert all(statement.words for statement in statements)


@pytest.mark.parametrize(
    ("suffix", "data", "expected"),
    [
        ("tif", w.tiff_with_exif(1), ("EXIF ColorSpace", "srgb_rec709_scene", True)),
        (
            "tif",
            tiff(w.pixels(), photometric="rgb", iccprofile=icc.rgb_profile("ap1", icc.LINEAR)),
            ("ICC profile", "lin_ap1_scene", True),
        ),
        ("tif", tiff(w.pixels(4), photometric="separated"), ("CMYK", None, True)),
        (
            "webp",
            pillow("WEBP", icc_profile=icc.rgb_profile("p3d65", icc.SRGB_CURVE), lossless=True),
            ("ICC profile", "srgb_p3d65_scene", True),
        ),
        ("webp", pillow("WEBP"), None),
        ("tga", pillow("TGA"), None),
        (
            "jpg",
            pillow("JPEG", cmyk=True, icc_profile=icc.table_profile(b"CMYK")),
            ("ICC profile", None, True),
        ),
        (
            "png",
            w.png(w.iccp(icc.grey_profile(icc.SRGB_CURVE))),  # a grey profile on an RGB picture
            ("ICC profile", None, False),
        ),
        ("hdr", w.radiance(), None),
        (
            "hdr",
            w.radiance("PRIMARIES=" + " ".join(map(str, AP1_XY))),
            ("Radiance PRIMARIES", "lin_ap1_scene", True),
        ),
        (
            "hdr",
            w.radiance("EXPOSURE=2", "EXPOSURE= 0.5e-1"),
            ("Radiance EXPOSURE", None, False),
        ),
    ],
)
def test_more_formats(suffix: str, data: bytes, expected: Rules, tmp_path: Path):
    path = tmp_path / f"picture.{suffix}"
    path.write_bytes(data)
    statements = read_header(path).statements
    found = statements[0] if statements else None
    assert (found and (found.kind, found.reading, found.firm)) == expected


def test_exposures_multiply(tmp_path: Path):
    path = tmp_path / "sky.hdr"
    path.write_bytes(w.radiance("EXPOSURE=2", "EXPOSURE=4", "COLORCORR=1 2 4"))
    words = [statement.words for statement in read_header(path).statements]
    assert words[0].startswith("EXPOSURE 8:")
    assert words[1].startswith("COLORCORR 1 2 4:")


@pytest.mark.parametrize(
    ("suffix", "data", "alpha", "pixel_type", "channels"),
    [
        ("png", pillow("PNG", 4), "unassociated", "uint8", ("R", "G", "B", "A")),
        ("png", bytes(imagecodecs.png_encode(w.pixels(2))), "unassociated", "uint8", ("Y", "A")),
        ("webp", pillow("WEBP", 4, lossless=True), "unassociated", "uint8", ("R", "G", "B", "A")),
        (
            "tif",
            tiff(w.pixels(4), photometric="rgb", extrasamples=["assocalpha"]),
            "associated",
            "uint8",
            ("R", "G", "B", "A"),
        ),
        (
            "tif",
            tiff(w.pixels(4, "uint16"), photometric="rgb", extrasamples=["unassalpha"]),
            "unassociated",
            "uint16",
            ("R", "G", "B", "A"),
        ),
        ("jpg", pillow("JPEG", 1), "none", "uint8", ("Y",)),
    ],
)
def test_geometry(
    suffix: str, data: bytes, alpha: str, pixel_type: str, channels: tuple[str, ...], tmp_path: Path
):
    path = tmp_path / f"picture.{suffix}"
    path.write_bytes(data)
    header = read_header(path)
    assert (header.width, header.height) == (8, 8)
    assert (header.alpha, header.pixel_type, header.channels) == (alpha, pixel_type, channels)
