"""The display codes of what is wanted, and what there is to say about them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.primaries import primaries_of, rgb_to_xyz_matrix
from primecoat.errors import UseError
from primecoat.report.shown.decoded import Decoded
from primecoat.report.shown.frame import Frame, framed
from primecoat.report.shown.light import Averaging, averaging
from primecoat.report.shown.lit import lit
from primecoat.report.shown.marks import mark
from primecoat.report.shown.opened import Opened
from primecoat.report.shown.plain import Scale, plain_scale, scaled
from primecoat.report.shown.seen import Viewing, display_codes, working_values
from primecoat.report.shown.strip import strip_codes
from primecoat.report.shown.wanted import QUICK_PIXELS, STRIP, Wanted

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Codes:
    """Display codes.

    Parameters
    ----------
    codes
        Shape (height, width, 3), 0 to 1 and beyond.
    frame
        What was looked at.
    broken
        Pixels of the box that are NaN or infinite.
    scale
        What numbers 0 and 1 of the picture stand for, where it shows numbers.
    words
        What was done, in sentences.
    """

    codes: Floats
    frame: Frame
    broken: int
    scale: Scale | None
    words: tuple[str, ...]


def wanted_codes(opened: Opened, wanted: Wanted) -> Codes:
    """Return what is wanted as display codes.

    Raises
    ------
    UseError
        If the picture has no such channel, or cannot be shown so.
    """
    as_numbers = wanted.shape in ("lit", "plain") or wanted.channels == "a"
    lit_or_plain = as_numbers or not wanted.is_colour
    reading = wanted.reading if not lit_or_plain else ""
    mean = averaging(reading, wanted.viewing.config) if reading else Averaging()
    panels = len(STRIP) if wanted.shape == "stops" else 1
    size = None if wanted.size is None else (max(1, wanted.size[0] // panels), wanted.size[1])
    most = QUICK_PIXELS // panels if wanted.quick else None
    frame = framed((opened.width, opened.height), wanted.box, size, most)
    held = opened.numbers(frame, mean)
    words = [*_reduced_words(frame, mean)]
    plateau, scale = None, None
    if wanted.shape == "lit":
        codes, how = _lit(opened, held, wanted)
        words.append(how)
    elif lit_or_plain:
        scale = plain_scale(opened, wanted.channels == "a")
        codes = _plain(opened, held, wanted, scale)
        words += _plain_words(wanted, scale)
    elif wanted.shape == "stops":
        codes, said, plateau = strip_codes(opened, held, wanted, _three(held.values))
        words += said
    else:
        codes = _one_channel(display_codes(*_seen(held, wanted)), held, wanted)
        words.append(
            f"{wanted.reading} through {wanted.viewing.working} and {wanted.viewing.view} on "
            f"{wanted.viewing.display}."
        )
    if held.not_finite:
        words.append(f"{held.not_finite} pixels are NaN or infinite; they are magenta.")
    broken = np.tile(held.broken, (1, panels)) if wanted.shape == "stops" else held.broken
    return Codes(
        codes=mark(codes, broken, plateau),
        frame=frame,
        broken=held.not_finite,
        scale=scale,
        words=tuple(words),
    )


def _seen(held: Decoded, wanted: Wanted) -> tuple[Floats, str, Viewing]:
    return _three(held.values), wanted.reading, wanted.viewing


def _three(values: Floats) -> Floats:
    """Return red, green and blue: grey three times; blue 0 where there are two channels."""
    count = values.shape[-1]
    if count == 1:
        return np.repeat(values, 3, axis=-1)
    if count == 2:
        return np.concatenate([values, np.zeros_like(values[..., :1])], axis=-1)
    return values


def _one_channel(codes: Floats, held: Decoded, wanted: Wanted) -> Floats:
    if wanted.channels == "rgb":
        return codes
    if wanted.channels == "grey":
        working = working_values(_three(held.values), wanted.reading, wanted.viewing)
        luminance = rgb_to_xyz_matrix(primaries_of(wanted.viewing.working))[1].astype(np.float32)
        grey = np.repeat((working @ luminance)[..., None], 3, axis=-1)
        unexposed = replace(wanted.viewing, stops=0.0)
        return display_codes(grey, wanted.viewing.working, unexposed)
    at = "rgb".index(wanted.channels)
    return np.repeat(codes[..., at : at + 1], 3, axis=-1)


def _plain(opened: Opened, held: Decoded, wanted: Wanted, scale: Scale) -> Floats:
    if wanted.channels == "a":
        if held.alpha is None:
            raise UseError(
                f"{opened.source.name} has no alpha channel.",
                f"It has {', '.join(opened.planes.names)}.",
            )
        values = held.alpha[..., None]
    elif wanted.channels == "grey":
        values = held.values.mean(axis=-1, keepdims=True)
    elif wanted.channels != "rgb":
        three = _three(held.values)
        at = "rgb".index(wanted.channels)
        values = three[..., at : at + 1]
    else:
        values = held.values
    return scaled(_three(values), scale)


def _lit(opened: Opened, held: Decoded, wanted: Wanted) -> tuple[Floats, str]:
    values = held.values
    if values.shape[-1] == 1:
        raise UseError(
            f"{opened.source.name} has one channel; a normal map has two or three.",
            "Show it plain.",
        )
    signed = opened.whole().low < 0
    how = "Lit from the upper left, "
    if wanted.is_colour:
        values = working_values(_three(values), wanted.reading, replace(wanted.viewing, stops=0.0))[
            ..., : values.shape[-1]
        ]
        how += f"its numbers first misread as {wanted.reading}, "
    shade = lit(values, wanted.green, signed=signed)
    grey = np.repeat(shade[..., None], 3, axis=-1)
    stored = "vectors as stored" if signed else "vectors 0 to 1"
    return (
        display_codes(grey, wanted.viewing.working, wanted.viewing),
        f"{how}green {wanted.green}, {stored}.",
    )


def _reduced_words(frame: Frame, mean: Averaging) -> Iterator[str]:
    if frame.reduced:
        yield f"{frame.block:.1f} pixels of the file to one, {mean.words}."


def _plain_words(wanted: Wanted, scale: Scale) -> Iterator[str]:
    if wanted.shape != "plain" and wanted.channels != "a":
        yield f"The reading is {wanted.reading}: numbers, no colours, shown without a view."
    yield f"Black is {scale.low:g}, white is {scale.high:g}."
