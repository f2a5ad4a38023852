"""One picture as it would be under a reading, and its numbers."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.defaults import DEFAULT_TO
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW, config_name
from primecoat.inventory import ImageRecord
from primecoat.report.shown.counts import HistogramOf, Of
from primecoat.report.shown.counts import histogram_of as counted
from primecoat.report.shown.frame import Box
from primecoat.report.shown.lit import Green
from primecoat.report.shown.picture import ShownPicture, shown_picture
from primecoat.report.shown.probe import Probe, probe
from primecoat.report.shown.seen import Viewing
from primecoat.report.shown.uv import ChromaticityOf
from primecoat.report.shown.uv import chromaticity_of as chromaticities
from primecoat.report.shown.wanted import Channels, Shape, Wanted

Image = ImageRecord | Path | str
"""A picture of a survey (``survey.readings.images[n].record``), or a file."""


def shown(
    image: Image,
    reading: str,
    *,
    working: str = DEFAULT_TO,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    stops: float = 0.0,
    shape: Shape = "view",
    channels: Channels = "rgb",
    box: Box | None = None,
    size: tuple[int, int] | None = None,
    layer: str = "",
    frame: int = 0,
    green: Green = "up",
    quick: bool = False,
    config: str | None = None,
) -> ShownPicture:
    """Return a picture of an image as it would be under a reading.

    Parameters
    ----------
    image
        A picture of a survey, or a file.
    reading
        What its numbers are taken for, right or wrong: a Color Interop ID, ``data``, ``unknown``.
        Numbers that are no colours are shown as they are, without a view.
    working, display, view
        Working space, and where it is looked at.
    stops
        Exposure in the working space.
    shape
        ``view``, ``plain`` (the numbers as stored), ``lit`` (a normal map under a fixed light) or
        ``stops`` (a strip of exposures).
    channels
        ``rgb``, or one of ``r``, ``g``, ``b``, ``a``, ``grey``.
    box, size
        Column, row, width, height in pixels of the file; width and height to fit it into. It is
        never enlarged. Several pixels become one by the mean of their light under the reading.
    layer, frame
        Name of the layer; number of the file in a set of tiles or frames, from 0.
    green
        Where green of a normal map points: ``up`` or ``down``.
    quick
        Make do with fewer pixels.
    config
        OpenColorIO config; by default ``$OCIO``, else the pinned built-in one.

    Raises
    ------
    UseError
        If there is no such reading, display, view, layer, frame, box or channel.
    ImageError
        If the pixels cannot be decoded.
    """
    return shown_picture(
        image,
        Wanted(
            reading=reading,
            viewing=Viewing(
                working=working, display=display, view=view, stops=stops, config=config_name(config)
            ),
            shape=shape,
            channels=channels,
            box=box,
            size=size,
            layer=layer,
            frame=frame,
            green=green,
            quick=quick,
        ),
    )


def probed(
    image: Image,
    x: int,
    y: int,
    reading: str,
    *,
    working: str = DEFAULT_TO,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    stops: float = 0.0,
    layer: str = "",
    frame: int = 0,
    config: str | None = None,
) -> Probe:
    """Return the numbers of one pixel: as stored, in the working space, on the display, in cd/m².

    Parameters
    ----------
    x, y
        Column and row in the file, from 0.
    image, reading, working, display, view, stops, layer, frame, config
        As for :func:`shown`.

    Raises
    ------
    UseError, ImageError
        As for :func:`shown`; also if there is no such pixel.
    """
    viewing = Viewing(
        working=working, display=display, view=view, stops=stops, config=config_name(config)
    )
    return probe(image, x, y, Wanted(reading=reading, viewing=viewing, layer=layer, frame=frame))


def histogram_of(
    image: Image,
    reading: str,
    *,
    of: Of = "file",
    working: str = DEFAULT_TO,
    box: Box | None = None,
    layer: str = "",
    frame: int = 0,
    config: str | None = None,
) -> HistogramOf:
    """Count every pixel by its numbers as stored, or by its light in stops about 0.18.

    Parameters
    ----------
    of
        ``file`` or ``stops`` (in the working space).
    image, reading, working, box, layer, frame, config
        As for :func:`shown`.

    Raises
    ------
    UseError, ImageError
        As for :func:`shown`; also if stops are asked of numbers that are no light.
    """
    viewing = Viewing(working=working, config=config_name(config))
    wanted = Wanted(reading=reading, viewing=viewing, box=box, layer=layer, frame=frame)
    return counted(image, wanted, of)


def chromaticity_of(
    image: Image,
    reading: str,
    *,
    box: Box | None = None,
    layer: str = "",
    frame: int = 0,
    config: str | None = None,
) -> ChromaticityOf:
    """Return where the colours of every pixel lie in CIE 1976 u'v', with gamuts around them.

    Parameters
    ----------
    image, reading, box, layer, frame, config
        As for :func:`shown`; the reading must be a colour space.

    Raises
    ------
    UseError, ImageError
        As for :func:`shown`.
    """
    viewing = Viewing(config=config_name(config))
    wanted = Wanted(reading=reading, viewing=viewing, box=box, layer=layer, frame=frame)
    return chromaticities(image, wanted)
