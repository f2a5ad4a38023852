"""TGA files by Pillow, with an extension area put behind them."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from primecoat.images.oiio import read_pixels
from primecoat.images.read_header import read_header

PIXELS = np.full((4, 4, 4), (100, 50, 25, 128), np.uint8)
FOOTER = b"TRUEVISION-XFILE.\0"


def tga(
    array: np.ndarray = PIXELS,
    *,
    attributes: int | None = None,
    gamma: tuple[int, int] = (0, 0),
    mode: str | None = None,
    **options: str,
) -> bytes:
    """Return a file with an extension area if attributes are given.

    Source of the layout: Truevision TGA 2.0, fields 10 to 29; Pillow writes the first part.
    """
    out = io.BytesIO()
    picture = Image.fromarray(array)
    (picture.convert(mode) if mode else picture).save(out, "TGA", **options)
    body = out.getvalue()
    if attributes is None:
        return body
    body = body[:-26] if body.endswith(FOOTER) else body
    area = bytearray(495)
    struct.pack_into("<H", area, 0, 495)
    struct.pack_into("<HH", area, 478, *gamma)
    area[494] = attributes
    return body + bytes(area) + struct.pack("<II", len(body), 0) + FOOTER


@pytest.mark.parametrize(
    ("attributes", "alpha", "storage"),
    [
        (None, "unassociated", ()),
        (1, "unassociated", ("attribute bits to be ignored (attributes type 1)",)),
        (3, "unassociated", ()),
        (4, "associated", ("colour multiplied by alpha (attributes type 4)",)),
    ],
)
def test_kind_of_alpha(
    attributes: int | None, alpha: str, storage: tuple[str, ...], tmp_path: Path
):
    path = tmp_path / "bowl.tga"
    path.write_bytes(tga(attributes=attributes))
    header = read_header(path)
    assert (header.alpha, header.storage, header.statements) == (alpha, storage, ())
    assert np.array_equal(read_pixels(path), PIXELS)


@pytest.mark.parametrize(
    ("gamma", "reading", "among"),
    [
        ((0, 0), "", ()),
        ((22, 0), "", ()),
        ((10, 10), "lin_rec709_scene", ()),
        ((22, 10), None, ("srgb_rec709_scene", "g22_rec709_scene")),
        ((18, 10), "g18_rec709_scene", ()),
        ((15, 10), None, ()),
    ],
)
def test_gamma_of_the_extension_area(
    gamma: tuple[int, int], reading: str | None, among: tuple[str, ...], tmp_path: Path
):
    path = tmp_path / "bowl.tga"
    path.write_bytes(tga(attributes=3, gamma=gamma))
    statements = read_header(path).statements
    if reading == "":
        assert statements == ()
    else:
        (said,) = statements
        assert (said.kind, said.reading, said.among) == ("TGA gamma", reading, among)


@pytest.mark.parametrize(
    ("data", "channels", "storage"),
    [
        (tga(PIXELS[..., :3]), ("R", "G", "B"), ()),
        (tga(PIXELS[..., :3], compression="tga_rle"), ("R", "G", "B"), ()),
        (tga(PIXELS[..., 0]), ("Y",), ()),
        (tga(PIXELS[..., :3], mode="P"), ("R", "G", "B"), ("palette",)),
        (tga(PIXELS[..., :2].copy()), ("Y", "A"), ()),
    ],
)
def test_types(data: bytes, channels: tuple[str, ...], storage: tuple[str, ...], tmp_path: Path):
    path = tmp_path / "bowl.tga"
    path.write_bytes(data)
    header = read_header(path)
    assert (header.channels, header.storage) == (channels, storage)


def test_grey_with_alpha_is_not_red_and_green(tmp_path: Path):
    path = tmp_path / "bowl.tga"
    path.write_bytes(tga(PIXELS[..., :2].copy()))
    header = read_header(path)
    assert (header.channels, header.alpha) == (("Y", "A"), "unassociated")
    assert np.array_equal(read_pixels(path), PIXELS[..., :2])
