"""Traces of an earlier life with 8 bits: levels that a conversion skipped.

A curve applied to 256 codes and rounded to 256 codes again skips codes where it is steeper than 1
(Stamm and Liu, *Forensic detection of image manipulation using statistical intrinsic
fingerprints*, IEEE Trans. Information Forensics and Security 5(3), 2010). Which codes are skipped
tells the curve: light encoded with 8 bits leaves gaps in the darks, decoded sRGB leaves them in
the lights, a contrast stretch leaves them at even distances. In deeper files the values of 8-bit
ancestors lie on a lattice of 256 levels, seen straight or through a curve.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.images.curves import light_to_srgb, srgb_to_light

Conversion = Literal["srgb_encoded", "srgb_decoded", "g22_encoded", "g22_decoded", "stretched"]
Lattice = Literal["straight", "srgb_encoded", "srgb_decoded", "g22_encoded", "g22_decoded"]
Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]

_CURVES: dict[
    Literal["srgb_encoded", "srgb_decoded", "g22_encoded", "g22_decoded"],
    tuple[Callable[[Numbers], Numbers], Callable[[Numbers], Numbers]],
] = {
    "srgb_encoded": (light_to_srgb, srgb_to_light),
    "srgb_decoded": (srgb_to_light, light_to_srgb),
    "g22_encoded": (lambda v: np.power(v, 1 / 2.2), lambda v: np.power(v, 2.2)),
    "g22_decoded": (lambda v: np.power(v, 2.2), lambda v: np.power(v, 1 / 2.2)),
}
_EXPECTED = 8.0
"""Pixels that the neighbours of a code must let expect, so that none is no chance (exp(-8))."""

_LEAST_FIT = 0.8
_LEAST_GAPS = 4
_LEAST_LEVELS = 24
_DARK = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelStatistics:
    """Levels of the colour channel that uses most of them.

    Parameters
    ----------
    tested, gaps
        8-bit files: codes whose neighbours let pixels be expected, and how many of them have none.
    conversion
        What explains the gaps, or None.
    fit
        How well, as the F1 score of skipped against empty codes, 0 to 1.
    lattice
        Deeper files: how 256 levels became the stored values, or None if they did not.
    dark_share
        Share of pixels from code 1 to 12 of 255: the steps that light kept linear with 8 bits has
        for all that is below a twentieth.
    """

    tested: int
    gaps: int
    conversion: Conversion | None
    fit: float
    lattice: Lattice | None
    dark_share: float


def measure_levels(rows: NDArray[Any], *, half: bool = False) -> LevelStatistics | None:
    """Measure the levels of colour channels.

    Parameters
    ----------
    rows
        Shape (channels, pixels): codes (uint8, uint16), or finite floats.
    half
        Whether floats are stored as half floats, whose steps are wider.
    """
    if not rows.size:
        return None
    most = np.iinfo(rows.dtype).max if rows.dtype.kind == "u" else 1.0
    steps = np.rint(np.clip(rows[:, :: max(1, rows.shape[1] // 65536)], 0, most) * (255.0 / most))
    dark = (steps >= 1) & (steps <= _DARK)
    tested, gaps, conversion, fit, lattice = 0, 0, None, 0.0, None
    if rows.dtype == np.uint8:
        empty, testable = max(map(_empty, rows), key=lambda found: int(found[1].sum()))
        tested, gaps = int(testable.sum()), int((empty & testable).sum())
        if gaps >= _LEAST_GAPS and tested - gaps >= _LEAST_LEVELS:
            fit, conversion = _explain(empty, testable)
            if fit < _LEAST_FIT:
                conversion = None
    else:
        lattice = _lattice(rows, half=half)
    return LevelStatistics(
        tested=tested,
        gaps=gaps,
        conversion=conversion,
        fit=fit,
        lattice=lattice,
        dark_share=float(dark.mean()),
    )


def _empty(row: NDArray[np.uint8]) -> tuple[Flags, Flags]:
    """Return which of the 256 codes are empty, and which should not be."""
    counts = np.bincount(row, minlength=256).astype(np.float64)
    used = np.flatnonzero(counts)
    inside = np.zeros(256, dtype=np.bool_)
    inside[used[0] : used[-1] + 1] = True
    width = 33
    ones, kernel = inside.astype(np.float64), np.ones(width)
    level = np.minimum(counts, np.quantile(counts[used], 0.9))  # a flat background is no level
    around = np.convolve(level, kernel, "same") / np.maximum(1, np.convolve(ones, kernel, "same"))
    return counts == 0, inside & (around >= _EXPECTED)


def _explain(empty: Flags, testable: Flags) -> tuple[float, Conversion]:
    """Return the best fit and its conversion."""
    names, outs = zip(*_candidates(empty, testable), strict=True)
    skipped = np.ones((len(outs), 256), dtype=np.bool_)  # all at once: there are hundreds
    for row, out in zip(skipped, outs, strict=True):
        row[out] = False
    hits = np.count_nonzero(skipped & (empty & testable), axis=1)
    wrong = np.count_nonzero((skipped ^ empty) & testable, axis=1)
    best: tuple[float, Conversion] = (0.0, "stretched")
    for conversion, fit in zip(names, 2 * hits / np.maximum(1, 2 * hits + wrong), strict=True):
        if fit > best[0] + 1e-9:
            best = float(fit), conversion
    return best


def _candidates(empty: Flags, testable: Flags) -> Iterator[tuple[Conversion, NDArray[np.intp]]]:
    codes = np.arange(256)
    for name, (curve, _) in _CURVES.items():
        exact = 255.0 * curve(codes / 255.0)
        yield name, np.rint(exact).astype(np.intp)
        yield name, np.floor(exact + 1e-9).astype(np.intp)
    tested = int(testable.sum())
    near = tested / max(1, tested - int((empty & testable).sum()))
    first = int(np.flatnonzero(testable & ~empty)[0])
    steps = np.arange(-255, 256)
    for factor in near * np.linspace(0.97, 1.03, 61):
        if factor > 1.004:
            for shift in np.arange(-0.45, 0.5, 0.1):
                out = np.rint(first + shift + factor * steps)
                yield "stretched", out[(out >= 0) & (out < 256)].astype(np.intp)


def _lattice(rows: NDArray[Any], *, half: bool) -> Lattice | None:
    """Return how 8-bit codes became the values, if they did."""
    if rows.dtype.kind == "f":
        rows = rows.clip(-1.0, 2.0)
    row = max(rows, key=lambda r: float(r[:: max(1, r.size // 1024)].std()))
    row = row[:: max(1, row.size // 16384)]
    values = row / 65535.0 if row.dtype.kind == "u" else row.astype(np.float64)
    values = values[(values > 0.02) & (values < 0.999)]
    if values.size < 256:
        return None
    step = values * 2.0**-11 if half else np.full_like(values, 1 / 65535)
    best: tuple[Lattice | None, float] = (None, 0.0)
    ways: list[tuple[Lattice, Callable[[Numbers], Numbers]]] = [("straight", lambda v: v)]
    ways += [(name, back) for name, (_, back) in _CURVES.items()]
    for name, back in ways:
        level = 255.0 * back(values)
        slack = 255.0 * (back(values + step) - back(values)) * 0.6 + 0.01
        clear = slack < 0.1
        if np.count_nonzero(clear) < 256:
            continue
        level, slack = level[clear], slack[clear]
        share = float(np.mean(np.abs(level - np.rint(level)) <= slack))
        if share > best[1] and len(np.unique(np.rint(level))) >= _LEAST_LEVELS:
            best = name, share
    return best[0] if best[1] >= 0.95 else None
