"""No bytes, however broken, make a header parser raise, hang or read without bound."""

from __future__ import annotations

import struct
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.images import profiles as icc
from tests.images import written as w

from primecoat.errors import ImageError
from primecoat.images import exif, exr, jpeg, png, radiance, tiff, webp
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
WEBP = b"RIFF\x20\0\0\0WEBPICCP" + struct.pack("<I", 8) + bytes(8)

bounded = settings(deadline=None, max_examples=150, derandomize=True)


def parse_png(data: bytes) -> object:
    chunks = png.read_chunks(Head(BytesIO(data)))
    return chunks and png.png_statements(chunks)


PARSERS: dict[str, tuple[Callable[[bytes], object], bytes]] = {
    "png": (parse_png, PNG),
    "jpeg": (lambda data: jpeg.jpeg_statements(Head(BytesIO(data))), JPEG),
    "tiff": (lambda data: tiff.tiff_statements(Head(BytesIO(data))), TIFF),
    "exif": (exif.exif_statement, w.exif(0xFFFF, b"R03")),
    "exr": (lambda data: exr.exr_statements(Head(BytesIO(data))), EXR),
    "radiance": (lambda data: radiance.radiance_statements(Head(BytesIO(data))), HDR),
    "webp": (lambda data: webp.webp_statements(Head(BytesIO(data))), WEBP),
    "icc": (classify_profile, icc.rgb_profile("p3d65", icc.SRGB_CURVE)),
    "icc table": (classify_profile, icc.rgb_profile("ap1", icc.curv(0, 10, 65535), chad=False)),
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


def test_every_cut_of_small_files(tmp_path: Path):
    exr_path = tmp_path / "whole.exr"
    pixels = {"RGB": np.ones((4, 4, 3), dtype=np.float16)}
    OpenEXR.File({"colorInteropID": "lin_ap1_scene"}, pixels).write(str(exr_path))
    for suffix, data in (
        ("png", PNG),
        ("jpg", JPEG),
        ("tif", TIFF),
        ("exr", exr_path.read_bytes()),
    ):
        path = tmp_path / f"cut.{suffix}"
        for end in range(0, len(data), 23):
            path.write_bytes(data[:end])
            try:
                read_header(path)
            except ImageError:
                continue
