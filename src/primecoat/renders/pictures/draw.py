"""Draw the pictures of a comparison: five PNG files, sRGB-encoded."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.errors import UseError
from primecoat.files import ASIDE_PREFIX
from primecoat.images.oiio import write_pixels
from primecoat.renders.canvas import Canvas
from primecoat.renders.frame import Frame, Seen
from primecoat.renders.pairing import Pair
from primecoat.renders.pictures.chromaticity import chromaticity_plot
from primecoat.renders.pictures.lettering import HEIGHT, text_width, write
from primecoat.renders.pictures.scales import how_much, round_up, which_way
from primecoat.renders.tally import Tally

Picture = NDArray[np.float32]

SCREEN = "srgb_rec709_display"
"""Space that pictures are drawn in."""

_BACKGROUND = 0.06
_MARGIN = 12
_CAPTION = 26
_LEAST_WIDTH = 360


def draw_pictures(tally: Tally, folder: Path) -> tuple[Path, ...]:
    """Write all pictures of a pair that was measured for pictures.

    Parameters
    ----------
    tally
        What the pair came to.
    folder
        Where to; it is made if it is not there. Files of these names are replaced, others kept.

    Returns
    -------
    tuple of pathlib.Path
        ``side-by-side.png``, ``difference.png``, ``exposure.png``, ``waveform.png``,
        ``chromaticity.png``.

    Raises
    ------
    UseError
        If the folder cannot be made.
    """
    pair, canvas = tally.pair, tally.canvas
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UseError(
            f"Cannot make the folder {folder}: {error.strerror}.", "Give another --pictures."
        ) from error
    sample = tally.sample
    drawn: dict[str, Callable[[], Picture]] = {
        "side-by-side": lambda: side_by_side(canvas, pair),
        "difference": lambda: difference_map(
            canvas.difference, tally.ciede2000.percentile(99), "CIEDE2000, A TO B"
        ),
        "exposure": lambda: exposure_map(canvas),
        "waveform": lambda: waveforms(canvas, pair),
        "chromaticity": lambda: chromaticity_plot(sample[:, :3], sample[:, 3:6], pair.linear),
    }
    return tuple(save_picture(folder / f"{name}.png", draw()) for name, draw in drawn.items())


def side_by_side(canvas: Canvas, pair: Pair) -> Picture:
    """Return both pictures as they are seen, A left (above, if they are wide)."""
    shown = [
        captioned(on_screen(codes, pair), _caption(letter, frame, seen))
        for letter, codes, frame, seen in (
            ("A", canvas.codes_a, pair.a, pair.seen_a),
            ("B", canvas.codes_b, pair.b, pair.seen_b),
        )
    ]
    height, width = canvas.difference.shape
    return np.concatenate(shown, axis=0 if width > 1.6 * height else 1)


def difference_map(difference: Picture, p99: float, caption: str) -> Picture:
    """Return CIEDE2000 as colours, black for none, up to a round number above ``p99``."""
    end = round_up(max(p99, 0.1))
    picture = captioned(how_much(difference / end), caption)
    return _with_scale(picture, how_much, (0.0, end), ("0", f"{end / 2:g}", f"{end:g} AND MORE"))


def exposure_map(canvas: Canvas) -> Picture:
    """Return the exposure difference as colours: orange where B is brighter, blue where darker."""
    known = np.abs(canvas.stops[np.isfinite(canvas.stops)])
    end = round_up(max(float(np.percentile(known, 99)) if known.size else 0.0, 0.01))
    picture = captioned(which_way(canvas.stops / end), "STOPS FROM A TO B, BY LUMINANCE")
    return _with_scale(picture, which_way, (-end, end), (f"{-end:g}", "0", f"+{end:g}"))


def waveforms(canvas: Canvas, pair: Pair) -> Picture:
    """Return how often each display code is met in each column: A above, B below."""
    shown = [
        captioned(_waveform(waves), f"{letter}: DISPLAY CODES OF EACH COLUMN, {pair.screen}")
        for letter, waves in (("A", canvas.waves_a), ("B", canvas.waves_b))
    ]
    return np.concatenate(shown, axis=0)


def _waveform(waves: NDArray[np.int64]) -> Picture:
    high = waves.max() or 1
    lit = np.log1p(waves[:, ::-1].astype(np.float32)) / np.log1p(np.float32(high))
    picture = np.moveaxis(lit, 0, -1)
    width = picture.shape[1]
    picture = np.repeat(picture, max(1, _LEAST_WIDTH // width), axis=1)
    picture = np.clip(_BACKGROUND + picture * np.float32(0.94), 0, 1)
    left = np.full((256, 30, 3), _BACKGROUND, np.float32)
    framed = np.concatenate([left, picture], axis=1)
    for code in (0, 64, 128, 192, 255):
        row = 255 - code
        line = framed[row, 30:]
        framed[row, 30:] = np.maximum(line, 0.25)
        write(framed, str(code), min(max(row - 3, 0), 256 - HEIGHT), 4)
    return framed


def _with_scale(
    picture: Picture,
    colours: Callable[[NDArray[np.floating]], Picture],
    ends: tuple[float, float],
    labels: tuple[str, str, str],
) -> Picture:
    """Return a picture with a bar of its colours below, and numbers under it."""
    width = picture.shape[1]
    low, high = ends
    values = np.linspace(low, high, width - 2 * _MARGIN) / high
    strip = np.full((46, width, 3), _BACKGROUND, np.float32)
    strip[8:24, _MARGIN : width - _MARGIN] = colours(values[None])
    places = (
        _MARGIN,
        (width - text_width(labels[1])) // 2,
        width - _MARGIN - text_width(labels[2]),
    )
    for label, place in zip(labels, places, strict=True):
        write(strip, label, 30, place)
    return np.concatenate([picture, strip], axis=0)


def captioned(picture: Picture, caption: str) -> Picture:
    """Return a picture with a line above it, and enlarged by whole pixels if it is very small."""
    times = max(1, _LEAST_WIDTH // picture.shape[1])
    large = np.repeat(np.repeat(picture, times, axis=0), times, axis=1)
    width = max(large.shape[1] + 2 * _MARGIN, _LEAST_WIDTH)
    framed = np.full((large.shape[0] + _CAPTION + _MARGIN, width, 3), _BACKGROUND, np.float32)
    left = (width - large.shape[1]) // 2
    framed[_CAPTION : _CAPTION + large.shape[0], left : left + large.shape[1]] = large
    letters = (width - 2 * _MARGIN) // 6
    cut = caption if len(caption) <= letters else f"{caption[: letters - 2]}.."
    write(framed, cut, 10, _MARGIN)
    return framed


def _caption(letter: str, frame: Frame, seen: Seen) -> str:
    way = f", {seen.view}" if seen.view else f", {frame.space}"
    return f"{letter}: {frame.path.name}{way}"


def on_screen(codes: Picture, pair: Pair) -> Picture:
    """Return display codes for an sRGB picture: what it cannot show is cut off."""
    shown = codes if pair.screen_id == SCREEN else convert(codes, pair.screen, SCREEN, pair.config)
    return np.clip(np.nan_to_num(shown), 0, 1)


def save_picture(path: Path, picture: Picture) -> Path:
    """Write sRGB codes of 0 to 1 as PNG, in one step."""
    codes = np.floor(np.clip(picture, 0, 1) * 255 + 0.5).astype(np.uint8)
    aside = path.with_name(f"{ASIDE_PREFIX}{path.name}")
    write_pixels(aside, codes, statement=SCREEN)
    aside.replace(path)
    return path
