"""No bytes, however broken, make a header parser raise, hang or read without bound."""

from __future__ import annotations

import os
import struct
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import OpenEXR
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PIL import Image
from tests.images import profiles as icc
from tests.images import written as w

from primecoat.errors import ImageError
from primecoat.images import exif, exr, jpeg, png, radiance, tga, tiff, tiff_pages, webp
from primecoat.images.exr_parts import read_exr_headers
from primecoat.images.head import HEAD, LIMIT, Head
from primecoat.images.icc import classify_profile
from primecoat.images.read_header import read_header

PNG = w.png(
    w.chunk(b"cICP", b"\x0c\x0d\0\1"),
    w.iccp(icc.rgb_profile("p3d65", icc.SRGB_CURVE)),
    w.chunk(b"sRGB", b"\0"),
    w.gama(45455),
    w.chrm(w.SRGB_CHRM),
    w.chunk(b"eXIf", w.exif(1)),
)
JPEG = w.jpeg(
    w.pixels(),
    w.segment(0xE1, b"Exif\0\0" + w.exif(0xFFFF, b"R03")),
    *w.icc_segments(icc.rgb_profile("p3d65", icc.SRGB_CURVE), 300),
)
TIFF = w.tiff_with_exif(1)
HDR = w.radiance("EXPOSURE=2", "PRIMARIES=0.713 0.293 0.165 0.830 0.128 0.044 0.32168 0.33767")
EXR = exr.SIGNATURE + b"\2\0\0\0colorInteropID\0string\0\4\0\0\0data\0"
CHANNELS = (
    b"A\0" + struct.pack("<iIii", 1, 0, 1, 1) + b"BY\0" + struct.pack("<iIii", 0, 0, 2, 2) + b"\0"
)
PARTS = (
    exr.SIGNATURE
    + b"\2\x10\0\0"
    + b"".join(
        b"name\0string\0\4\0\0\0par%d" % number
        + b"channels\0chlist\0"
        + struct.pack("<I", len(CHANNELS))
        + CHANNELS
        + b"colorInteropID\0string\0\4\0\0\0data"
        + b"textureformat\0string\0\3\0\0\0abc\0"
        for number in range(3)
    )
    + b"\0"
)
WEBP = b"RIFF\x20\0\0\0WEBPICCP" + struct.pack("<I", 8) + bytes(8)

bounded = settings(deadline=None, max_examples=150, derandomize=True)


def tga_file() -> bytes:
    """Return a TGA file of 2 x 2 pixels with an extension area."""
    body = struct.pack("<BBB5xHHHHBB", 0, 0, 2, 0, 0, 2, 2, 32, 8) + bytes(16)
    area = bytearray(495)
    struct.pack_into("<H", area, 0, 495)
    struct.pack_into("<HH", area, 478, 22, 10)
    area[494] = 4
    return body + bytes(area) + struct.pack("<II", len(body), 0) + b"TRUEVISION-XFILE.\0"


def parse_png(data: bytes) -> object:
    chunks = png.read_chunks(Head(BytesIO(data)))
    return chunks and (png.png_statements(chunks), png.png_storage(chunks))


def parse_exr(data: bytes) -> object:
    headers = read_exr_headers(Head(BytesIO(data)))
    return (
        exr.statements_of(headers),
        exr.exr_storage(headers),
        exr.part_headers(headers),
        exr.exr_levels(headers),
        exr.exr_texture(headers),
    )


def parse_tiff(data: bytes) -> object:
    head = Head(BytesIO(data))
    pages = tiff_pages.read_pages(head)
    assert tiff_pages.count_parts(pages) >= 1
    assert tiff_pages.count_levels(pages) >= 1
    return (
        tiff.tiff_statements(head),
        tiff.tiff_storage(head),
        tiff.tiff_texture(head),
        tiff_pages.part_headers(head, pages),
    )


def parse_radiance(data: bytes) -> object:
    head = Head(BytesIO(data))
    factors = radiance.radiance_scale(head)
    assert all(0 < factor < float("inf") for factor in factors)
    return radiance.radiance_statements(head), factors


def parse_webp(data: bytes) -> object:
    return webp.webp_statements(Head(BytesIO(data))), webp.webp_storage(Head(BytesIO(data)))


def parse_jpeg(data: bytes) -> object:
    met = jpeg.read_segments(Head(BytesIO(data)))
    return jpeg.statements_of(met), jpeg.jpeg_storage(met)


PARSERS: dict[str, tuple[Callable[[bytes], object], bytes]] = {
    "png": (parse_png, PNG),
    "jpeg": (parse_jpeg, JPEG),
    "tiff": (parse_tiff, TIFF),
    "exif": (exif.exif_statement, w.exif(0xFFFF, b"R03")),
    "exr": (parse_exr, EXR),
    "exr, three parts": (parse_exr, PARTS),
    "radiance": (parse_radiance, HDR),
    "webp": (parse_webp, WEBP),
    "tga": (lambda data: tga.tga_facts(Head(BytesIO(data))), tga_file()),
    "icc": (classify_profile, icc.rgb_profile("p3d65", icc.SRGB_CURVE)),
    "icc table": (classify_profile, icc.rgb_profile("ap1", icc.curv(0, 10, 65535), chad=False)),
    "icc grey in Lab": (classify_profile, icc.grey_profile(icc.curv(0, 9, 65535), b"Lab ")),
    "icc code points": (classify_profile, icc.table_profile(b"RGB ", bytes([9, 16, 0, 1]))),
}


@pytest.mark.parametrize("name", PARSERS)
@bounded
@given(
    edits=st.lists(st.tuples(st.integers(0, 2000), st.binary(min_size=1, max_size=6)), max_size=6),
    cut=st.none() | st.integers(0, 2000),
)
@example(edits=[], cut=0)
def test_damaged_files(name: str, edits: list[tuple[int, bytes]], cut: int | None):
    parse, sound = PARSERS[name]
    data = bytearray(sound)
    for place, patch in edits:
        at = place % len(data)
        data[at : at + len(patch)] = patch
    parse(bytes(data[:cut]))


@pytest.mark.parametrize("name", PARSERS)
@bounded
@given(tail=st.binary(max_size=600))
def test_noise_after_the_signature(name: str, tail: bytes):
    parse, sound = PARSERS[name]
    parse(sound[:8] + tail)


def test_first_chunk_counts_and_broken_ones_are_passed_over():
    sound = w.png(
        w.chunk(b"cICP", b"\x0c"),  # too short
        w.chunk(b"sRGB", b"\x09"),  # no such intent
        w.chunk(b"iCCP", b"name\0\0not deflate"),
        w.gama(100000),
        w.chrm(w.AP1_CHRM),
        w.gama(45455),
    )
    chunks = png.read_chunks(Head(BytesIO(sound)))
    assert chunks is not None
    found = [(s.kind, s.reading, s.firm) for s in png.png_statements(chunks)]
    assert found == [
        ("ICC profile", None, False),
        ("gAMA and cHRM", "lin_ap1_scene", True),
    ]


def test_chunks_behind_the_pixels_do_not_count():
    data = w.png()
    end = data.index(b"IEND") - 4
    chunks = png.read_chunks(Head(BytesIO(data[:end] + w.chunk(b"sRGB", b"\0") + data[end:])))
    assert chunks is not None
    assert set(chunks) == {b"IHDR"}


def test_chunks_beyond_the_first_read_are_found():
    big = w.chunk(b"zTXt", bytes(3 * HEAD))
    chunks = png.read_chunks(Head(BytesIO(w.png(big, w.chunk(b"sRGB", b"\0")))))
    assert chunks is not None
    assert chunks[b"sRGB"] == b"\0"


def test_giant_length_reads_nothing():
    class Counting(BytesIO):
        most = 0

        def read(self, size: int | None = -1, /) -> bytes:
            self.most = max(self.most, -1 if size is None else size)
            return super().read(size)

    stream = Counting(PNG[:33] + struct.pack(">I", 0xFFFFFFFF) + b"iCCP" + bytes(2 * HEAD))
    assert png.read_chunks(Head(stream)) is None
    assert stream.most <= LIMIT


def test_unpacking_a_profile_is_bounded():
    bomb = w.iccp(icc.rgb_profile("ap1", icc.LINEAR) + bytes(3 * LIMIT))
    chunks = png.read_chunks(Head(BytesIO(w.png(bomb))))
    assert chunks is not None
    assert png.png_statements(chunks)[0].reading == "lin_ap1_scene"


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.png", b""),
        ("text.png", b"this is no picture"),
        ("text.exr", b"this is no picture"),
        ("picture.null", b"this is no picture"),
        ("cut.png", PNG[:20]),
        ("cut_before_pixels.png", PNG[: PNG.index(b"IDAT")]),
        ("cut.jpg", JPEG[:60]),
        ("cut.tif", TIFF[:60]),
        ("cut.hdr", HDR[:40]),
        ("cut.exr", EXR),
    ],
)
def test_unreadable_files_give_one_clear_line(
    name: str, data: bytes, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(ImageError) as caught:
        read_header(path)
    assert name in str(caught.value)
    assert "\n" not in str(caught.value)
    assert caught.value.remedy
    assert capfd.readouterr() == ("", "")


def test_missing_file_and_folder(tmp_path: Path):
    with pytest.raises(ImageError, match="no such file"):
        read_header(tmp_path / "missing.png")
    (tmp_path / "folder.png").mkdir()
    with pytest.raises(ImageError, match=r"folder\.png"):
        read_header(tmp_path / "folder.png")


def test_a_name_that_is_no_text(tmp_path: Path):
    path = tmp_path / os.fsdecode(b"bowl\xff.png")
    try:
        path.write_bytes(PNG)
    except OSError:
        pytest.skip("this file system takes no such names")
    with pytest.raises(ImageError, match="UTF-8"):
        read_header(path)


def sound_files() -> dict[str, bytes]:
    """Return one whole file of each format, by independent writers where there is one."""
    out: dict[str, bytes] = {"tga": tga_file(), "hdr": HDR, "png": PNG, "jpg": JPEG}
    picture, profile = Image.fromarray(w.pixels()), icc.rgb_profile("p3d65", icc.SRGB_CURVE)
    for suffix, form in (("tif", "TIFF"), ("webp", "WEBP")):
        stream = BytesIO()
        picture.save(stream, form, icc_profile=profile)
        out[suffix] = stream.getvalue()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "whole.exr"
        pixels = {"RGB": np.ones((4, 4, 3), dtype=np.float16)}
        OpenEXR.File({"colorInteropID": "lin_ap1_scene"}, pixels).write(str(path))
        out["exr"] = path.read_bytes()
    return out


SOUND = sound_files()


def readable_or_refused(path: Path) -> None:
    refused: ImageError | None = None
    try:
        header = read_header(path)
    except ImageError as error:
        refused = error
    if refused is None:
        assert header.width > 0
        assert all(statement.words for statement in header.statements)
    else:
        assert path.name in refused.message
        assert "\n" not in refused.message
        assert refused.remedy


@pytest.mark.parametrize("suffix", SOUND)
def test_every_cut_of_small_files(suffix: str, tmp_path: Path):
    path, data = tmp_path / f"cut.{suffix}", SOUND[suffix]
    for end in range(0, len(data), 23):
        path.write_bytes(data[:end])
        readable_or_refused(path)


@pytest.mark.parametrize("suffix", SOUND)
@settings(bounded, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    flips=st.lists(st.tuples(st.integers(0, 10_000), st.integers(1, 255)), min_size=1, max_size=8),
    cut=st.none() | st.integers(0, 10_000),
)
def test_whole_files_with_flipped_bytes(
    suffix: str, flips: list[tuple[int, int]], cut: int | None, tmp_path: Path
):
    data = bytearray(SOUND[suffix])
    for place, mask in flips:
        data[place % len(data)] ^= mask
    path = tmp_path / f"flipped.{suffix}"
    path.write_bytes(bytes(data if cut is None else data[: cut % len(data)]))
    began = time.monotonic()
    readable_or_refused(path)
    assert time.monotonic() - began < 5.0
