"""Pages of a TIFF: pictures of their own, or smaller levels of one. All files are tifffile's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import OpenImageIO as oiio
import pytest
import tifffile
from numpy.typing import NDArray

from primecoat.images.header import ImageHeader
from primecoat.images.read_header import read_header

PIXELS = np.random.default_rng(1).integers(0, 256, (96, 64, 3), dtype=np.uint8)
RGB: dict[str, Any] = {"photometric": "rgb"}

Pages = list[tuple[NDArray[Any], dict[str, Any]]]


def written(path: Path, pages: Pages, **options: Any) -> ImageHeader:
    with tifffile.TiffWriter(path, **options) as out:
        for pixels, more in pages:
            out.write(pixels, **more)
    return read_header(path)


def halves(pixels: NDArray[Any], *, up: bool = False) -> Iterator[NDArray[Any]]:
    """Yield every level of a pyramid down to one pixel, sizes rounded down or up."""
    while True:
        yield pixels
        if pixels.shape[:2] == (1, 1):
            return
        height, width = (max(1, (n + up) // 2) for n in pixels.shape[:2])
        pixels = np.ascontiguousarray(pixels[:height, :width])


@pytest.mark.parametrize("options", [{}, {"bigtiff": True}, {"byteorder": ">"}])
@pytest.mark.parametrize("tiled", [{}, {"tile": (16, 16)}])
def test_flagged_pyramid_is_one_picture(
    options: dict[str, Any], tiled: dict[str, Any], tmp_path: Path
):
    """TIFF 6.0: bit 0 of NewSubfileType is set in a reduced version of another image."""
    smaller = [(PIXELS[::n, ::n].copy(), {**RGB, **tiled, "subfiletype": 1}) for n in (2, 4, 8)]
    header = written(tmp_path / "a.tif", [(PIXELS, {**RGB, **tiled}), *smaller], **options)
    assert (header.parts, header.levels, header.part_headers) == (1, 4, ())
    assert (header.width, header.height) == (64, 96)


@pytest.mark.parametrize("up", [False, True])
@pytest.mark.parametrize("size", [(96, 64), (51, 37), (1, 16)])
def test_pyramid_that_says_nothing(size: tuple[int, int], up: bool, tmp_path: Path):
    levels = [*halves(PIXELS[: size[0], : size[1]], up=up)]
    header = written(tmp_path / "a.tif", [(level, RGB) for level in levels])
    assert (header.parts, header.levels) == (1, len(levels))


def test_thumbnail_of_any_size_is_no_part(tmp_path: Path):
    pages: Pages = [(PIXELS, RGB), (PIXELS[:30, :20].copy(), {**RGB, "subfiletype": 1})]
    header = written(tmp_path / "a.tif", pages)
    assert (header.parts, header.levels) == (1, 2)


def test_levels_in_directories_of_their_own(tmp_path: Path):
    """Adobe, TIFF Technical Note 1: SubIFDs."""
    path = tmp_path / "a.tif"
    with tifffile.TiffWriter(path) as out:
        out.write(PIXELS, subifds=2, **RGB)
        for n in (2, 4):
            out.write(PIXELS[::n, ::n].copy(), subfiletype=1, **RGB)
    header = read_header(path)
    assert (header.parts, header.levels) == (1, 3)
    with tifffile.TiffFile(path) as read:
        assert len(read.series[0].levels) == header.levels


@pytest.mark.parametrize(
    ("second", "options"),
    [
        (PIXELS, RGB),
        (PIXELS[:30, :20], RGB),
        (PIXELS[:48, :64], RGB),
        (PIXELS[:48, :32, 0], {"photometric": "minisblack"}),
        (PIXELS[:48, :32].astype(np.uint16), RGB),
        (PIXELS[:48, :32].astype(np.float32), RGB),
        (PIXELS[:48, :32], {**RGB, "subfiletype": 2}),
        (PIXELS[:48, :32, 0] > 9, {"photometric": "mask", "subfiletype": 4}),
    ],
    ids=["same", "odd size", "half height", "grey", "deeper", "float", "page", "mask"],
)
def test_a_picture_of_its_own(second: NDArray[Any], options: dict[str, Any], tmp_path: Path):
    header = written(tmp_path / "a.tif", [(PIXELS, RGB), (np.ascontiguousarray(second), options)])
    assert (header.parts, header.levels) == (2, 1)
    assert len(header.part_headers) == 2


def test_two_pyramids_are_two_pictures(tmp_path: Path):
    small = np.ascontiguousarray(PIXELS[:48, :32])
    pages: Pages = [(PIXELS, RGB), (small, RGB), (PIXELS + 1, RGB), (small + 1, RGB)]
    header = written(tmp_path / "a.tif", pages)
    assert (header.parts, header.levels, len(header.part_headers)) == (2, 2, 2)


@pytest.mark.parametrize(
    ("pixels", "options", "channels", "pixel_type"),
    [
        (PIXELS, RGB, ("R", "G", "B"), "uint8"),
        (PIXELS[..., 0], {"photometric": "minisblack"}, ("Y",), "uint8"),
        (
            np.dstack([PIXELS, PIXELS[..., :1]]).astype(np.uint16),
            {**RGB, "extrasamples": ["unassalpha"]},
            ("R", "G", "B", "A"),
            "uint16",
        ),
        (
            np.dstack([PIXELS, PIXELS[..., :2]]).astype(np.float32),
            {**RGB, "extrasamples": ["unspecified", "assocalpha"]},
            ("R", "G", "B", "channel3", "A"),
            "float",
        ),
        (PIXELS.astype(np.float16), RGB, ("R", "G", "B"), "half"),
        (PIXELS, {"photometric": "cielab"}, ("channel0", "channel1", "channel2"), "uint8"),
        (PIXELS.astype(np.int16), RGB, ("R", "G", "B"), "int16"),
    ],
)
def test_channels_of_a_page(
    pixels: NDArray[Any],
    options: dict[str, Any],
    channels: tuple[str, ...],
    pixel_type: str,
    tmp_path: Path,
):
    header = written(tmp_path / "a.tif", [(PIXELS, RGB), (pixels, options)])
    page = header.part_headers[1]
    assert page.channels == channels
    assert set(page.pixel_types) == {pixel_type}


def test_circle_of_pages_ends(tmp_path: Path):
    """A file whose last directory leads back to the first holds as many pages as it has."""
    path = tmp_path / "a.tif"
    written(path, [(PIXELS, RGB), (PIXELS + 1, RGB)])
    data = bytearray(path.read_bytes())
    with tifffile.TiffFile(path) as read:
        first, last = (page.offset for page in read.pages)
    count = int.from_bytes(data[last : last + 2], "little")
    at = last + 2 + 12 * count
    assert data[at : at + 4] == bytes(4)
    data[at : at + 4] = first.to_bytes(4, "little")
    path.write_bytes(data)
    assert read_header(path).parts == 2


def test_texture_of_a_maker(tmp_path: Path):
    """OpenImageIO's texture maker writes every level as a page of its own."""
    tifffile.imwrite(tmp_path / "a.tif", PIXELS[:64], **RGB)
    path = tmp_path / "a.tx"
    made = oiio.ImageBufAlgo.make_texture(
        oiio.MakeTxTexture, str(tmp_path / "a.tif"), str(path), oiio.ImageSpec()
    )
    assert made
    with tifffile.TiffFile(path) as read:
        count = len(read.pages)
    header = read_header(path)
    assert (header.parts, header.levels) == (1, count)
    assert count == 7
