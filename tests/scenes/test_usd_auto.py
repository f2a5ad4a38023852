"""What ``sourceColorSpace = auto`` comes to: all 16 cases, as headers and as files."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat.images.header import ColourStatement, ImageHeader
from primecoat.images.read_header import read_header
from primecoat.scenes.usd.automatic import automatic

SRGB = "srgb_rec709_scene"
CASES = [
    (channels, bits, tagged, SRGB if tagged or (bits == 8 and channels in (3, 4)) else "data")
    for channels in (1, 2, 3, 4)
    for bits in (8, 16)
    for tagged in (False, True)
]


@pytest.mark.parametrize(("channels", "bits", "tagged", "expected"), CASES)
def test_grid(channels, bits, tagged, expected):
    statement = ColourStatement(kind="sRGB chunk", reading=SRGB, firm=True, words="sRGB")
    header = ImageHeader(
        format="png",
        width=8,
        height=8,
        channels=("Y", "A") if channels == 2 else ("R", "G", "B", "A")[:channels],
        pixel_type=f"uint{bits}",
        statements=(statement,) if tagged else (),
    )
    reading, why = automatic(header)
    assert reading == expected
    assert why.startswith("'auto' takes")


@pytest.mark.parametrize(("channels", "bits", "tagged", "expected"), CASES)
def test_grid_on_files(tmp_path: Path, channels, bits, tagged, expected):
    chunks = [b.chunk(b"sRGB", b"\0")] if tagged else []
    path = tmp_path / "cup.png"
    path.write_bytes(b.png(channels, f"uint{bits}", *chunks))
    assert automatic(read_header(path))[0] == expected


def test_metadata_of_another_space_is_no_srgb():
    statement = ColourStatement(kind="gAMA", reading="lin_rec709_scene", firm=True, words="1.0")
    header = ImageHeader(
        format="png",
        width=8,
        height=8,
        channels=("R", "G", "B"),
        pixel_type="uint8",
        statements=(statement,),
    )
    assert automatic(header)[0] == "data"


@pytest.mark.parametrize("pixel_type", ["half", "float", "uint16"])
def test_more_than_eight_bits_is_used_as_read(pixel_type):
    header = ImageHeader(
        format="openexr", width=8, height=8, channels=("R", "G", "B"), pixel_type=pixel_type
    )
    assert automatic(header)[0] == "data"
