"""Copies of open pictures in one channel, since few open pictures of one channel can be had.

A black-and-white photograph is the luma of one in colour, and a map of one channel is a channel of
a packed one or any of three equal channels. Luma is that of ITU-R BT.709 on the stored codes, as
programs make it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from evaluation.cases import Case
from evaluation.judging import Stock
from primecoat.images.channels import colour_channels
from primecoat.images.header import ImageHeader
from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.oiio import read_bands, write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure

_LUMA = np.array([0.2126, 0.7152, 0.0722])


def grey_copies(stock: Stock, folder: Path) -> Iterator[tuple[Case, ImageHeader, ImageStatistics]]:
    """Yield each 8-bit picture of three channels in one channel, measured.

    Parameters
    ----------
    stock
        Labelled pictures.
    folder
        Where the copies are written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for number, case in enumerate(stock.cases):
        path = stock.root / case.path
        header = read_header(path)
        colour = colour_channels(header.channels)
        if header.pixel_type != "uint8" or len(colour) != 3 or header.alpha != "none":
            continue
        codes = np.concatenate([band for _, band in read_bands(path, as_float=False)])
        triple = codes[..., list(colour)].astype(np.float64)
        grey = triple @ _LUMA if case.kind == "colour" else triple[..., 1]
        copy = folder / f"{number:04d}.png"
        write_pixels(copy, np.rint(grey)[..., None].astype(np.uint8))
        made = read_header(copy)
        yield case, made, measure(copy, made)
