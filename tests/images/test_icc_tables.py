"""ICC profiles of look-up tables: refused with a reason, which a survey and its words pass on.

The profiles are made byte by byte after ICC.1:2022, section 10.10 (lut8Type), and an independent
colour engine (Little CMS, by way of Pillow) has to take them and convert through their tables.
"""

from __future__ import annotations

import io
import itertools
import struct
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms
from tests.images import profiles as icc
from tests.reading.worlds import readings_of, sheet

from primecoat.images.icc import classify_profile
from primecoat.images.read_header import read_header

INPUTS = {"RGB": (b"RGB ", 3), "CMYK": (b"CMYK", 4), "L": (b"GRAY", 1)}
REASON = "it holds tables, not curves, and its meaning was not evaluated"


def lut8(mode: str, size: int = 5) -> bytes:
    """Return an element that gives CIE L* from the inputs' mean (of ink: its complement)."""
    channels = INPUTS[mode][1]
    identity, straight = np.eye(3).ravel(), bytes(range(256))
    rows = b"".join(
        bytes([_lightness(mode, cell, size), 128, 128])
        for cell in itertools.product(range(size), repeat=channels)
    )
    head = b"mft1" + bytes(4) + bytes([channels, 3, size, 0])
    matrix = struct.pack(">9i", *(round(65536 * v) for v in identity))
    return head + matrix + straight * channels + rows + straight * 3


def _lightness(mode: str, cell: tuple[int, ...], size: int) -> int:
    share = sum(cell) / (len(cell) * (size - 1))
    return round(255 * (1 - share if mode == "CMYK" else share))


def profile(mode: str, **more: bytes) -> bytes:
    text = b"tables"
    described = b"desc" + bytes(4) + struct.pack(">I", len(text) + 1) + text + bytes(79)
    white = b"XYZ " + bytes(4) + struct.pack(">3i", *(round(65536 * float(v)) for v in icc.D50))
    tags = {b"desc": described, b"wtpt": white, b"A2B0": lut8(mode)}
    tags |= {name.encode(): element for name, element in more.items()}
    data = bytearray(icc.assemble(INPUTS[mode][0], tags, b"Lab ", version=2))
    data[12:16] = b"scnr" if mode != "CMYK" else b"prtr"
    data[68:80] = white[8:]
    return bytes(data)


@pytest.mark.parametrize("mode", INPUTS)
def test_the_profile_is_one_that_an_engine_uses(mode: str):
    made = ImageCms.ImageCmsProfile(io.BytesIO(profile(mode)))
    through = ImageCms.buildTransform(made, ImageCms.createProfile("sRGB"), mode, "RGB")
    most = 255 if mode != "CMYK" else 0
    light = Image.new(mode, (1, 1), (most,) * INPUTS[mode][1] if mode != "L" else most)
    converted = ImageCms.applyTransform(light, through)
    assert converted is not None
    pixel = converted.getpixel((0, 0))
    assert isinstance(pixel, tuple)
    assert min(pixel) >= 250


@pytest.mark.parametrize(("mode", "kind"), [("RGB", "lut"), ("CMYK", "cmyk"), ("L", "lut")])
def test_refused_with_the_reason(mode: str, kind: str):
    facts = classify_profile(profile(mode))
    assert (facts.kind, facts.reading) == (kind, None)
    assert REASON in facts.words


def test_tables_come_before_a_curve():
    """ICC.1:2022, section 8.10.2 (from memory): A2B0 is used where it is there, TRCs are not."""
    grey = classify_profile(profile("L", kTRC=icc.LINEAR))
    assert (grey.kind, grey.reading) == ("lut", None)
    curves = dict.fromkeys(("rTRC", "gTRC", "bTRC"), icc.SRGB_CURVE)
    colour = classify_profile(profile("RGB", **curves))
    assert (colour.kind, colour.reading) == ("lut", None)


@pytest.mark.parametrize("mode", INPUTS)
def test_a_survey_says_why(mode: str, tmp_path: Path):
    """The header is a witness that names no reading; so is the answer, and nothing is settled."""
    name = "a.tif" if mode == "CMYK" else "a.png"
    pixels = np.random.default_rng(1).integers(40, 200, (64, 64, INPUTS[mode][1]), dtype=np.uint8)
    picture = Image.fromarray(pixels.squeeze(), mode)
    picture.save(tmp_path / name, icc_profile=profile(mode))
    said = [s for s in read_header(tmp_path / name).statements if s.kind == "ICC profile"]
    assert [(s.reading, REASON in s.words) for s in said] == [(None, True)]
    (image,) = readings_of(sheet(tmp_path, f"{name},x,base_color,,,")).images
    heard = [e for e in image.evidence if e.witness == "header" and REASON in e.words]
    assert [e.claim for e in heard] == ["unknown"]
    assert image.standing != "settled"
