"""One picture as PNG bytes, with what there is to say about it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.colour.ocio import display_reading
from primecoat.errors import UseError
from primecoat.inventory import ImageRecord
from primecoat.report.shown.codes import wanted_codes
from primecoat.report.shown.frame import Box
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.opened import open_picture
from primecoat.report.shown.plain import Scale
from primecoat.report.shown.png import label, png
from primecoat.report.shown.state import config_state
from primecoat.report.shown.wanted import Wanted, check_wanted


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPicture:
    """A picture to look at.

    Parameters
    ----------
    png
        The bytes of a PNG file.
    width, height
        Of it, in pixels.
    box
        What it shows, in pixels of the file.
    exact
        Whether it has the size that was asked for, not the smaller one that is quickly made.
    block
        Pixels of the file that one of its own stands for; 1 where none was averaged.
    not_finite
        Pixels of the box that are NaN or infinite.
    display
        Color Interop ID of the display that its codes are for; None for a display without one.
    label
        How the PNG says so.
    words
        What was done, in sentences.
    scale
        Numbers shown as black and white, where numbers of one picture are shown; else None.
    """

    png: bytes
    width: int
    height: int
    box: Box
    exact: bool
    block: float
    not_finite: int
    display: str | None
    label: str
    words: tuple[str, ...]
    scale: Scale | None = None


def shown_picture(image: ImageRecord | Path | str, wanted: Wanted) -> ShownPicture:
    """Return a picture of a picture; made again only when the file or the config has changed.

    Raises
    ------
    UseError
        If there is no such reading, display, view, layer, frame, box or channel.
    ImageError
        If the pixels cannot be decoded to the end.
    """
    check_wanted(wanted)
    display = _display(wanted)
    opened = open_picture(image, layer=wanted.layer, frame=wanted.frame)
    key = ("picture", opened.source.key(), opened.planes, wanted, config_state(wanted))

    def make() -> ShownPicture:
        made = wanted_codes(opened, wanted)
        height, width = made.codes.shape[:2]
        return ShownPicture(
            png=png(made.codes, display),
            width=width,
            height=height,
            box=made.frame.box,
            exact=not wanted.quick,
            block=made.frame.block,
            not_finite=made.broken,
            scale=made.scale,
            display=display,
            label=label(display),
            words=made.words,
        )

    return KEPT.get(key, make, lambda picture: len(picture.png) + 1024)


def _display(wanted: Wanted) -> str | None:
    viewing = wanted.viewing
    try:
        return display_reading(viewing.display, viewing.view, viewing.config)
    except UseError as error:
        if "Color Interop ID" in error.message:
            return None
        raise
