"""Polygons that are not convex, cut into triangles.

Method: one ear after the other is cut off (G. H. Meisters, "Polygons Have Ears", The American
Mathematical Monthly 82(6), 1975): a corner that turns the polygon's own way, with no other corner
in its triangle. Edges that a polygon goes along twice, to reach a hole, do no harm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]
Ears = list[tuple[int, int, int]]

_FLAT = 1e-12


def hollow(points: Rows, starts: NDArray[np.int64], counts: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Return which polygons turn against their own way anywhere, shape (polygons,).

    Parameters
    ----------
    points
        Corners of all polygons in order, shape (corners, 3).
    starts, counts
        First corner, and number of corners, of each.
    """
    kept = np.flatnonzero(counts > 3)
    found = np.zeros(len(counts), np.bool_)
    if not len(kept):
        return found
    number = np.repeat(np.arange(len(kept)), counts[kept])
    first = np.cumsum(counts[kept]) - counts[kept]
    within = np.arange(len(number)) - first[number]
    start, count = starts[kept][number], counts[kept][number]
    here = points[start + within]
    before = points[start + (within - 1) % count]
    after = points[start + (within + 1) % count]
    area = np.zeros((len(kept), 3))
    np.add.at(area, number, np.cross(here, after))  # Newell
    turn = np.einsum("nx,nx->n", np.cross(here - before, after - here), area[number])
    size = np.einsum("nx,nx->n", area, area)[number]
    found[kept[np.unique(number[turn < -1e-9 * size])]] = True
    return found


def ears(corners: Rows) -> Ears:
    """Cut one polygon into triangles.

    Parameters
    ----------
    corners
        Shape (n, 3).

    Returns
    -------
    list of tuple
        Three numbers of corners for each triangle, in the polygon's own order; n - 2 of them for
        a simple polygon.

    Examples
    --------
    >>> arrow = np.array([(0, 0, 0), (2, 2, 0), (0, 1, 0), (-2, 2, 0)], float)
    >>> ears(arrow)
    [(0, 1, 2), (0, 2, 3)]
    """
    flat = _flattened(corners)
    left = list(range(len(corners)))
    cut: Ears = []
    at, tried = 0, 0
    while len(left) > 3 and tried < len(left):
        a, b, c = (left[(at + step) % len(left)] for step in (-1, 0, 1))
        if _is_ear(flat, left, a, b, c):
            if abs(_turn(flat[a], flat[b], flat[c])) > _FLAT:
                cut.append((a, b, c))
            left.pop(at % len(left))
            tried = 0
        else:
            at, tried = at + 1, tried + 1
        at %= len(left)
    # what crosses itself has no ear left: the rest is a fan
    cut += [(left[0], left[n], left[n + 1]) for n in range(1, len(left) - 1)]
    return [_from_its_least(*ear) for ear in cut]


def _is_ear(flat: Rows, left: list[int], a: int, b: int, c: int) -> bool:
    turn = _turn(flat[a], flat[b], flat[c])
    if turn < -_FLAT:
        return False
    others = flat[[n for n in left if n not in (a, b, c)]]
    ends = flat[[a, b, c]]
    apart = (np.abs(others[:, None] - ends[None]).max(axis=2) > _FLAT).all(axis=1)
    inside = np.ones(len(others), np.bool_)
    for one, two in ((a, b), (b, c), (c, a)):
        edge, way = flat[two] - flat[one], others - flat[one]
        inside &= edge[0] * way[:, 1] - edge[1] * way[:, 0] >= -_FLAT
    return not bool((inside & apart).any())


def _turn(a: Rows, b: Rows, c: Rows) -> float:
    return float((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]))


def _flattened(corners: Rows) -> Rows:
    """Return a polygon in the plane that it lies in, against the clock, about one unit large."""
    middle = corners.mean(axis=0)
    around = corners - middle
    normal = np.cross(around, np.roll(around, -1, axis=0)).sum(axis=0)
    normal /= max(float(np.linalg.norm(normal)), 1e-300)
    axis = np.eye(3)[int(np.argmin(np.abs(normal)))]
    first = np.cross(axis, normal)
    first /= max(float(np.linalg.norm(first)), 1e-300)
    flat = np.stack((around @ first, around @ np.cross(normal, first)), axis=1)
    return np.asarray(flat / max(float(np.abs(flat).max(initial=0.0)), 1e-300))


def _from_its_least(a: int, b: int, c: int) -> tuple[int, int, int]:
    if a < b and a < c:
        return a, b, c
    return (b, c, a) if b < c else (c, a, b)
