"""The figures of one band of two pictures: what the workers of a comparison do."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference_rows import ciede2000_rows, lab_rows
from primecoat.colour.ids import SPACES
from primecoat.colour.itp import delta_e_itp, ictcp
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import PRIMARIES, rgb_to_xyz_matrix
from primecoat.renders.bands import Band
from primecoat.renders.canvas import Canvas, small_band
from primecoat.renders.frame import Frame, Seen, seen_rows
from primecoat.renders.histogram import Counts, counted
from primecoat.renders.pairing import Pair
from primecoat.renders.screen_light import screen_light

Floats = NDArray[np.float32]

_AT_ONCE = 1 << 15
"""Pixels worked on at once, so that they stay in a core's cache."""

_HALF_LIMIT = 65504.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is asked of every band.

    Parameters
    ----------
    pair
        The frames, and how they are seen.
    gain
        What the light of B is multiplied by first.
    stride
        One pixel of so many is kept in the sample.
    block
        Side of the blocks of the pictures; 0 for no pictures.
    """

    pair: Pair
    gain: float = 1.0
    stride: int = 1
    block: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What a band comes to.

    Parameters
    ----------
    pixels, all_pixels
        How many are finite in both, and how many there are.
    shares
        Counts of pixels for A and B: in the order of :class:`primecoat.renders.figures.Side`.
    not_finite_differs
        Pixels that are finite in one only.
    scene, codes
        For each channel: counts of the absolute difference, sum over A, sum over B.
    alpha
        The same of alpha, or None.
    ciede2000, itp
        Counts of the differences; None where ITP is not asked.
    sample
        Light of A and B, and whether both are within what the display shows: shape (n, 7).
    canvas
        The band made small, or None.
    """

    pixels: int
    all_pixels: int
    shares: NDArray[np.int64]
    not_finite_differs: int
    scene: tuple[tuple[Counts, float, float], ...]
    codes: tuple[tuple[Counts, float, float], ...]
    alpha: tuple[Counts, float, float] | None
    ciede2000: Counts
    itp: Counts | None
    sample: Floats
    canvas: Canvas | None


def measure_band(band: Band, task: Task) -> Measured:
    """Return the figures of a band."""
    pair = task.pair
    a, b = band.a.reshape(-1, 3), band.b.reshape(-1, 3)
    known_a, known_b = _finite(a), _finite(b)
    kept = np.flatnonzero(known_a & known_b)
    whole = kept.size == a.shape[0]
    if not whole:
        a, b = a[kept], b[kept]
    parts = [
        _measure(a[start : start + _AT_ONCE], b[start : start + _AT_ONCE], task)
        for start in range(0, a.shape[0], _AT_ONCE)
    ] or [_measure(a, b, task)]
    difference = np.concatenate([part.ciede2000 for part in parts])
    codes_a = np.concatenate([part.codes[0] for part in parts])
    codes_b = np.concatenate([part.codes[1] for part in parts])
    shares = np.sum([part.shares for part in parts], axis=0)
    shares[:, 0] = [np.count_nonzero(~known_a), np.count_nonzero(~known_b)]
    scene = [np.concatenate([part.scene[side] for part in parts]) for side in (0, 1)]
    itp = np.concatenate([part.itp for part in parts]) if pair.high_dynamic_range else None
    sample = np.concatenate([scene[0], scene[1]] if pair.linear else _light(parts), axis=1)
    inside = _within(codes_a) & _within(codes_b) if not pair.linear else np.ones(len(a), bool)
    chosen = _chosen(len(sample), task.stride, band.first)
    canvas = None
    if task.block:
        shape = band.a.shape[:2]
        luminance = _luminance(pair)
        canvas = small_band(
            _spread(codes_a, kept, whole, (*shape, 3), 0.0),
            _spread(codes_b, kept, whole, (*shape, 3), 0.0),
            _spread(difference, kept, whole, shape, 0.0),
            _spread(_stops(sample, luminance), kept, whole, shape, np.nan),
            task.block,
        )
    return Measured(
        pixels=len(a),
        all_pixels=known_a.size,
        shares=shares,
        not_finite_differs=int(np.count_nonzero(known_a != known_b)),
        scene=_channels(*scene) if pair.linear else (),
        codes=_channels(codes_a, codes_b),
        alpha=_alpha(band),
        ciede2000=counted(difference),
        itp=None if itp is None else counted(itp),
        sample=np.concatenate(
            [sample[chosen], inside[chosen, None].astype(np.float32)], axis=1, dtype=np.float32
        ),
        canvas=canvas,
    )


def scene_light(rows: Floats, frame: Frame, linear: str, config: str, gain: float = 1.0) -> Floats:
    """Return rows of a scene-referred frame in a linear space, multiplied by a gain."""
    light = rows if frame.space == linear else convert(rows, frame.space, linear, config)
    return light if gain == 1.0 else light * np.float32(gain)


@dataclass(frozen=True, slots=True)
class _Part:
    scene: tuple[Floats, Floats]
    codes: tuple[Floats, Floats]
    light: tuple[Floats, Floats]
    ciede2000: Floats
    itp: Floats
    shares: NDArray[np.int64]


def _measure(a: Floats, b: Floats, task: Task) -> _Part:
    pair = task.pair
    nothing = np.zeros((len(a), 0), np.float32)
    scene = (nothing, nothing)
    if pair.linear:
        scene = (
            scene_light(a, pair.a, pair.linear, pair.config),
            scene_light(b, pair.b, pair.linear, pair.config, task.gain),
        )
    codes_a = _codes(a, pair.a.space, pair.seen_a, pair)
    if task.gain == 1.0 or not pair.linear:
        codes_b = _codes(b, pair.b.space, pair.seen_b, pair)
    else:
        codes_b = _codes(scene[1], pair.linear, pair.seen_b, pair)
    light_a, light_b = (
        screen_light(codes, pair.screen, pair.screen_id, pair.config)
        for codes in (codes_a, codes_b)
    )
    return _Part(
        scene=scene,
        codes=(codes_a, codes_b),
        light=(light_a, light_b) if not pair.linear else scene,
        ciede2000=ciede2000_rows(lab_rows(light_a), lab_rows(light_b)),
        itp=delta_e_itp(ictcp(light_a), ictcp(light_b))
        if pair.high_dynamic_range
        else nothing[:, :0].ravel(),
        shares=np.array([_shares(a, codes_a, pair.a), _shares(b, codes_b, pair.b)], np.int64),
    )


def _codes(rows: Floats, space: str, seen: Seen, pair: Pair) -> Floats:
    if seen.view is not None:
        return seen_rows(rows, space, seen)
    if space in (pair.screen, pair.screen_id):
        return rows
    return convert(rows, space, pair.screen, pair.config)


def _shares(rows: Floats, codes: Floats, frame: Frame) -> list[int]:
    if not len(rows):
        return [0] * 6
    limit = 1.0 if frame.stored.startswith(("uint", "int")) else np.inf
    limit = _HALF_LIMIT if frame.stored == "half" else limit
    low, high = (_across(ufunc, codes) for ufunc in (np.minimum, np.maximum))
    count = np.count_nonzero
    return [
        0,
        int(count(_across(np.maximum, rows) >= limit)) if np.isfinite(limit) else 0,
        int(count(_across(np.minimum, rows) < 0)),
        int(count(high >= 1)),
        int(count(low <= 0)),
        int(count((low < 0) | (high > 1))),
    ]


def _across(ufunc: np.ufunc, rows: Floats) -> Floats:
    return np.asarray(ufunc(ufunc(rows[:, 0], rows[:, 1]), rows[:, 2]))


def _within(codes: Floats) -> NDArray[np.bool_]:
    return np.asarray((_across(np.minimum, codes) > 0) & (_across(np.maximum, codes) < 1))


def _finite(rows: Floats) -> NDArray[np.bool_]:
    known = np.isfinite(rows)
    return known[:, 0] & known[:, 1] & known[:, 2]


def _light(parts: list[_Part]) -> list[Floats]:
    return [np.concatenate([part.light[side] for part in parts]) for side in (0, 1)]


def _channels(a: Floats, b: Floats) -> tuple[tuple[Counts, float, float], ...]:
    planes = (np.ascontiguousarray(rows.T) for rows in (a, b))  # one after the other is faster
    return tuple(_channel(one, other) for one, other in zip(*planes, strict=True))


def _channel(a: Floats, b: Floats) -> tuple[Counts, float, float]:
    sums = (float(a.sum(dtype=np.float64)), float(b.sum(dtype=np.float64)))
    return counted(np.abs(b - a)), *sums


def _alpha(band: Band) -> tuple[Counts, float, float] | None:
    if band.alpha_a is None or band.alpha_b is None:
        return None
    known = np.isfinite(band.alpha_a) & np.isfinite(band.alpha_b)
    return _channel(band.alpha_a[known], band.alpha_b[known])


def _chosen(count: int, stride: int, seed: int) -> NDArray[np.intp]:
    """Return one pixel of each stretch of ``stride``, chosen at random but always the same."""
    if stride == 1:
        return np.arange(count)
    starts = np.arange(0, count, stride)
    found = starts + np.random.default_rng(seed).integers(0, stride, len(starts))
    return np.asarray(found[found < count], np.intp)


def _luminance(pair: Pair) -> Floats:
    return luminance_row(pair.linear)


def luminance_row(linear: str | None) -> Floats:
    """Return the weights of luminance in a linear space; of X, Y, Z for None."""
    if linear is None:
        return np.array([0.0, 1.0, 0.0], np.float32)
    matrix = rgb_to_xyz_matrix(PRIMARIES[SPACES[linear].primaries])
    return np.asarray(matrix[1], np.float32)


def _stops(sample: Floats, weights: Floats) -> Floats:
    one, other = sample[:, :3] @ weights, sample[:, 3:6] @ weights
    with np.errstate(divide="ignore", invalid="ignore"):
        stops = np.log2(other / one)
    stops[(one <= 0) | (other <= 0)] = np.nan
    return np.asarray(stops, np.float32)


def _spread(
    values: Floats, kept: NDArray[np.intp], whole: bool, shape: tuple[int, ...], empty: float
) -> Floats:
    """Return values back at their pixels."""
    if whole:
        return values.reshape(shape)
    full = np.full((shape[0] * shape[1], *shape[2:]), empty, np.float32)
    full[kept] = values
    return full.reshape(shape)
