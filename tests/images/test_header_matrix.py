"""24 PNG, JPEG and TIFF files, and some more, by independent writers, each read right."""

from __future__ import annotations

import io
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import pytest
import tifffile
from PIL import Image, ImageCms, PngImagePlugin
from tests.images import profiles as icc
from tests.images import written as w

from primecoat.images.read_header import read_header

Rules = tuple[str, str | None, bool] | None
"""Kind, reading and firmness of the statement that rules; None for a file that states nothing."""

AP1_XY = (0.713, 0.293, 0.165, 0.830, 0.128, 0.044, 0.32168, 0.33767)


def pillow(form: str, channels: int = 3, **options: Any) -> bytes:
    out = io.BytesIO()
    mode = {1: "L", 3: "RGB", 4: "RGBA"}[channels]
    array = w.pixels(channels).squeeze()
    picture = Image.fromarray(array).convert("CMYK" if options.pop("cmyk", False) else mode)
    if colours := options.pop("palette", 0):
        picture = picture.quantize(colours)
    picture.save(out, form, **options)
    return out.getvalue()


def tiff(array: np.ndarray, **options: Any) -> bytes:
    out = io.BytesIO()
    tifffile.imwrite(out, array, **options)
    return out.getvalue()


def pillow_srgb() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def png(*chunks: tuple[bytes, bytes], **options: Any) -> bytes:
    """Return a PNG by Pillow with more chunks, which Pillow writes in its own order."""
    more = PngImagePlugin.PngInfo()
    for kind, body in chunks:
        more.add(kind, body)
    return pillow("PNG", pnginfo=more, **options)


def gamma(number: int) -> tuple[bytes, bytes]:
    return b"gAMA", number.to_bytes(4, "big")


def primaries(numbers: tuple[int, ...]) -> tuple[bytes, bytes]:
    return b"cHRM", struct.pack(">8I", *numbers)


def exif(colour_space: int, index: str = "") -> Image.Exif:
    """Return EXIF by Pillow: ColorSpace 0xA001, interoperability index in 0xA005."""
    block = Image.Exif()
    block[0x8769] = {0xA001: colour_space, **({0xA005: {1: index}} if index else {})}
    return block


def ycck(**options: Any) -> bytes:
    return bytes(
        imagecodecs.jpeg8_encode(w.pixels(4), colorspace="CMYK", outcolorspace="YCCK", **options)
    )


P3 = icc.rgb_profile("p3d65", icc.SRGB_CURVE)

MATRIX: dict[str, tuple[Callable[[], bytes], Rules]] = {
    "png, plain": (png, None),
    "png, 16 bit, plain": (
        lambda: bytes(imagecodecs.png_encode(w.pixels(dtype="uint16"))),
        None,
    ),
    "png, sRGB": (
        lambda: png((b"sRGB", b"\1"), gamma(45455)),
        ("sRGB chunk", "srgb_rec709_scene", True),
    ),
    "png, gAMA 45455": (lambda: png(gamma(45455)), ("gAMA and cHRM", None, False)),
    "png, gAMA 45455, cHRM": (
        lambda: png(gamma(45455), primaries(w.SRGB_CHRM)),
        ("gAMA and cHRM", None, False),
    ),
    "png, gAMA 100000": (
        lambda: png(gamma(100000)),
        ("gAMA and cHRM", "lin_rec709_scene", False),
    ),
    "png, gAMA 100000, cHRM AP1": (
        lambda: png(gamma(100000), primaries(w.AP1_CHRM)),
        ("gAMA and cHRM", "lin_ap1_scene", True),
    ),
    "png, cICP P3 beside sRGB": (
        lambda: png((b"sRGB", b"\0"), (b"cICP", b"\x0c\x0d\0\1")),
        ("cICP", "srgb_p3d65_scene", True),
    ),
    "png, iCCP sRGB": (
        lambda: png(icc_profile=pillow_srgb()),
        ("ICC profile", "srgb_rec709_scene", True),
    ),
    "png, iCCP P3 beside gAMA and cHRM": (
        lambda: png(gamma(45455), primaries(w.SRGB_CHRM), icc_profile=P3),
        ("ICC profile", "srgb_p3d65_scene", True),
    ),
    "png, iCCP Adobe RGB": (
        lambda: png(icc_profile=bytes(imagecodecs.cms_profile("adobergb"))),
        ("ICC profile", "g22_adobergb_scene", True),
    ),
    "png, iCCP linear, called sRGB": (
        lambda: png(gamma(45455), icc_profile=icc.rgb_profile("rec709", icc.LINEAR)),
        ("ICC profile", "lin_rec709_scene", True),
    ),
    "png, iCCP gamma 2.2, called sRGB": (
        lambda: png(icc_profile=icc.rgb_profile("rec709", icc.para(0, 2.2))),
        ("ICC profile", "g22_rec709_scene", True),
    ),
    "png, grey, iCCP grey of gamma 1.8": (
        lambda: png(channels=1, icc_profile=icc.grey_profile(icc.curv(461))),
        ("ICC profile", "g18_rec709_scene", True),
    ),
    "jpeg, plain": (lambda: pillow("JPEG"), None),
    "jpeg, P3 in two segments": (
        lambda: pillow("JPEG", icc_profile=icc.rgb_profile("p3d65", icc.SRGB_CURVE, padding=70000)),
        ("ICC profile", "srgb_p3d65_scene", True),
    ),
    "jpeg, EXIF sRGB": (
        lambda: pillow("JPEG", exif=exif(1)),
        ("EXIF ColorSpace", "srgb_rec709_scene", True),
    ),
    "jpeg, EXIF uncalibrated, R03": (
        lambda: pillow("JPEG", exif=exif(0xFFFF, "R03")),
        ("EXIF ColorSpace", "g22_adobergb_scene", True),
    ),
    "jpeg, CMYK with profile": (
        lambda: pillow("JPEG", cmyk=True, icc_profile=icc.table_profile(b"CMYK")),
        ("ICC profile", None, True),
    ),
    "jpeg, YCCK without profile": (ycck, ("CMYK", None, True)),
    "tiff, plain": (lambda: tiff(w.pixels(), photometric="rgb"), None),
    "tiff, planar 16 bit, ProPhoto called sRGB": (
        lambda: tiff(
            np.moveaxis(w.pixels(dtype="uint16"), 2, 0),
            photometric="rgb",
            planarconfig="separate",
            iccprofile=icc.rgb_profile("prophoto", icc.curv(461)),
        ),
        ("ICC profile", None, True),
    ),
    "tiff, big-endian BigTIFF, linear AP1": (
        lambda: tiff(
            w.pixels(),
            photometric="rgb",
            bigtiff=True,
            byteorder=">",
            iccprofile=icc.rgb_profile("ap1", icc.LINEAR),
        ),
        ("ICC profile", "lin_ap1_scene", True),
    ),
    "tiff, CIELab": (
        lambda: tiff(w.pixels(), photometric="cielab"),
        ("CIELab", None, True),
    ),
}
"""Files by Pillow, tifffile and imagecodecs, and the statement that rules each."""

SUFFIXES = {"png": ".png", "jpeg": ".jpg", "tiff": ".tif"}


def test_matrix_has_24_files():
    assert len(MATRIX) == 24
    assert {name.partition(",")[0] for name in MATRIX} == set(SUFFIXES)


def ruling(path: Path) -> Rules:
    statements = read_header(path).statements
    assert all(statement.words for statement in statements)
    first = statements[0] if statements else None
    return (first.kind, first.reading, first.firm) if first else None


@pytest.mark.parametrize("name", MATRIX)
def test_statement_that_rules(name: str, tmp_path: Path):
    write, expected = MATRIX[name]
    path = tmp_path / f"picture{SUFFIXES[name.partition(',')[0]]}"
    path.write_bytes(write())
    assert ruling(path) == expected


@pytest.mark.parametrize(
    ("suffix", "data", "expected"),
    [
        (
            "png",
            w.png(w.gama(100000), w.chrm(w.SRGB_CHRM), depth=16),
            ("gAMA and cHRM", "lin_rec709_scene", True),
        ),
        (
            "png",
            w.png(w.gama(45470), w.chrm(w.ADOBE_CHRM)),
            ("gAMA and cHRM", "g22_adobergb_scene", True),
        ),
        ("png", w.png(w.gama(55555)), ("gAMA and cHRM", "g18_rec709_scene", False)),
        ("png", w.png(w.gama(50000)), ("gAMA and cHRM", None, True)),  # gamma 2.0
        (
            "png",
            w.png(w.chunk(b"cICP", b"\x09\x10\0\1"), depth=16),
            ("cICP", "pq_rec2020_display", True),
        ),
        ("png", w.png(w.chunk(b"cICP", b"\x01\x01\0\0")), ("cICP", None, True)),  # narrow range
        (
            "png",
            w.png(w.chunk(b"cICP", b"\x0c\x0d\0\1"), w.iccp(icc.rgb_profile("ap1", icc.LINEAR))),
            ("cICP", "srgb_p3d65_scene", True),
        ),
        (
            "png",
            w.png(w.chunk(b"sRGB", b"\0"), w.iccp(P3)),
            ("ICC profile", "srgb_p3d65_scene", True),
        ),
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
        (
            "webp",
            pillow("WEBP", exif=exif(0xFFFF, "R03")),
            ("EXIF ColorSpace", "g22_adobergb_scene", True),
        ),
        ("webp", pillow("WEBP"), None),
        ("tga", pillow("TGA"), None),
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
    assert ruling(path) == expected


def test_exposures_multiply(tmp_path: Path):
    path = tmp_path / "sky.hdr"
    path.write_bytes(w.radiance("EXPOSURE=2", "EXPOSURE=4", "COLORCORR=1 2 4"))
    words = [statement.words for statement in read_header(path).statements]
    assert words[0].startswith("EXPOSURE 8:")
    assert words[1].startswith("COLORCORR 1 2 4:")


@pytest.mark.parametrize(
    ("suffix", "data", "storage"),
    [
        ("png", w.png(), ()),
        ("png", pillow("PNG", palette=8), ("palette",)),
        ("jpg", pillow("JPEG"), ()),
        ("jpg", ycck(), ("CMYK",)),
        ("jpg", pillow("JPEG", keep_rgb=True), ("RGB, not YCbCr (Adobe marker)",)),
        ("webp", pillow("WEBP"), ("lossy",)),
        ("webp", pillow("WEBP", lossless=True), ("lossless",)),
        ("tif", tiff(w.pixels(4), photometric="separated"), ("CMYK",)),
        ("tif", tiff(w.pixels(1)[..., 0], photometric="miniswhite"), ("0 is white",)),
        (
            "tif",
            tiff(
                np.moveaxis(w.pixels(size=32), 2, 0),
                photometric="rgb",
                planarconfig="separate",
                bigtiff=True,
                byteorder=">",
                tile=(16, 16),
            ),
            ("planar", "tiled", "BigTIFF", "big-endian"),
        ),
    ],
)
def test_storage(suffix: str, data: bytes, storage: tuple[str, ...], tmp_path: Path):
    path = tmp_path / f"picture.{suffix}"
    path.write_bytes(data)
    assert read_header(path).storage == storage


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
