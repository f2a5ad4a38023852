"""What is needed to look at one picture: source, channels and frame."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import ImageError
from primecoat.images.header import ImageHeader
from primecoat.images.oiio import opened_for_pixels
from primecoat.inventory import ImageRecord
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.decoded import Decoded, decoded
from primecoat.report.shown.frame import Frame, framed
from primecoat.report.shown.light import Averaging
from primecoat.report.shown.planes import Planes, planes_of
from primecoat.report.shown.source import Source, source_of

_WHOLE = 256
"""Longest side of the picture that the range of numbers is taken from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A picture to be looked at.

    Parameters
    ----------
    width, height
        Of the whole part.
    """

    source: Source
    header: ImageHeader
    planes: Planes
    width: int
    height: int

    def whole(self) -> Decoded:
        """Return all of it made small, for the range of its numbers."""
        frame = framed((self.width, self.height), size=(_WHOLE, _WHOLE))
        return decoded(self.source, self.planes, frame, Averaging())

    def numbers(self, frame: Frame, mean: Averaging) -> Decoded:
        """Return what a frame shows."""
        return decoded(self.source, self.planes, frame, mean)


def open_picture(image: ImageRecord | Path | str, *, layer: str = "", frame: int = 0) -> Opened:
    """Return a picture to be looked at.

    Raises
    ------
    UseError
        If it has no such layer or frame.
    ImageError
        If it cannot be read.
    """
    source = source_of(image, frame)
    header = source.header()
    planes = planes_of(header, layer)
    width, height = header.width, header.height
    if planes.part:
        width, height = in_worker(source.name, _part_size, source, planes.part)
    if width < 1 or height < 1:
        raise ImageError(
            f"The picture {source.name} has no pixels: {width} x {height}.", "Export it again."
        )
    return Opened(source=source, header=header, planes=planes, width=width, height=height)


def _part_size(source: Source, part: int) -> tuple[int, int]:
    with source.opened() as path, opened_for_pixels(path, part) as (_, spec, _):
        return spec.width, spec.height
