"""Find the card in a picture: its white frame first, then its edges to a part of a pixel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import UseError
from primecoat.proof.card.layout import INNER, MARKS, OUTER
from primecoat.proof.card.plane import Map, Points, carried, look_up, map_between
from primecoat.proof.card.regions import regions

Grey = NDArray[np.float64]
"""Shape (height, width)."""

_SMALL: Final = 640
"""Greatest side of the picture that the frame is looked for in."""
_STEPS: Final = (0.5, 0.3, 0.18, 0.1, 0.06, 0.035, 0.02, 0.01, 0.005, 0.0025)
"""Thresholds tried, as shares of the brightest parts."""
_LEAST: Final = 0.002
"""Least share of the picture that the frame covers."""
_SPECKLE: Final = 0.1
"""Changes from dark to bright along the rows, as a share of the pixels, that only noise has."""
_SURE: Final = 0.85
"""Least share of the points on frame and gaps that must be bright and dark."""

CORNERS: Final[Points] = np.array(
    [(-OUTER[0], OUTER[1]), (OUTER[0], OUTER[1]), (OUTER[0], -OUTER[1]), (-OUTER[0], -OUTER[1])]
)
"""Outer corners of the frame on the card: upper left, upper right, lower right, lower left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the card is.

    Parameters
    ----------
    to_picture
        From the card's plane to pixels.
    corners
        The outer corners of the frame in pixels, in the order of :data:`CORNERS`.
    mirrored
        Whether the picture is mirrored.
    """

    to_picture: Map
    corners: Points
    mirrored: bool


def find_card(picture: NDArray[np.floating], name: str) -> Place:
    """Find the card.

    Parameters
    ----------
    picture
        Shape (height, width, 3).
    name
        The file, for the message.

    Raises
    ------
    UseError
        If there is no card in the picture.
    """
    grey = np.nan_to_num(picture.mean(axis=2, dtype=np.float64), nan=0.0, posinf=0.0, neginf=0.0)
    block = max(1, -(-max(grey.shape) // _SMALL))
    small = _reduced(np.maximum(grey, 0.0), block)
    for four, level in _outlines(small):
        place = _best_pose(small, four, level)
        if place is not None:
            corners = place.corners * block
            refined = _refined(grey, corners)
            return Place(
                to_picture=map_between(CORNERS, refined), corners=refined, mirrored=place.mirrored
            )
    raise UseError(
        f"There is no test card in {name}: its white frame with two black marks was not found.",
        "Render the card through its own camera, wholly in the picture and not too dark.",
    )


def _reduced(grey: Grey, block: int) -> Grey:
    height, width = (side // block * block for side in grey.shape)
    blocks = grey[:height, :width].reshape(height // block, block, width // block, block)
    return np.asarray(blocks.mean(axis=(1, 3)))


def _outlines(small: Grey) -> Iterator[tuple[Points, float]]:
    """Yield quadrilaterals round bright regions, with the level that parted them."""
    bright = float(np.quantile(small, 0.995))
    for step in _STEPS:
        level = step * bright
        mask = small > level
        if np.count_nonzero(mask[:, 1:] != mask[:, :-1]) > _SPECKLE * mask.size:
            continue
        for region in regions(mask, int(_LEAST * small.size) + 16)[:4]:
            four = _four_corners(np.asarray(region[:, ::-1] + 0.5, np.float64))
            if four is not None:
                yield four, level


def _four_corners(points: Points) -> Points | None:
    """Return the quadrilateral of greatest area among the outermost points, in order."""
    angles = np.arange(72) * (2 * np.pi / 72)
    ways = np.stack((np.cos(angles), np.sin(angles)))
    outer = np.unique(points[np.argmax(points @ ways, axis=0)], axis=0)
    if len(outer) < 4:
        return None
    between = outer[:, None] - outer[None]
    one, other = np.unravel_index(np.argmax((between**2).sum(axis=-1)), between.shape[:2])
    a, c = outer[one], outer[other]
    side = (c - a)[0] * (outer - a)[:, 1] - (c - a)[1] * (outer - a)[:, 0]
    b, d = outer[np.argmin(side)], outer[np.argmax(side)]
    if side.max() - side.min() < 1.0 or side.min() >= 0 or side.max() <= 0:
        return None
    four = np.array([a, b, c, d])
    middle = four.mean(axis=0)
    outward = (four - middle) / np.linalg.norm(four - middle, axis=1, keepdims=True)
    return np.asarray(four + 0.5 * outward)


def _best_pose(small: Grey, four: Points, level: float) -> Place | None:
    """Return the one of eight ways to lay the card on a quadrilateral that its marks confirm."""
    for mirrored in (False, True):
        turned = four[::-1] if mirrored else four
        for turn in range(4):
            corners = np.roll(turned, turn, axis=0)
            try:
                to_picture = map_between(CORNERS, corners)
            except np.linalg.LinAlgError:
                return None
            bright = look_up(small, carried(to_picture, _BRIGHT)) > level
            dark = look_up(small, carried(to_picture, _DARK)) < level
            marks = look_up(small, carried(to_picture, np.array(MARKS)))
            near = look_up(small, carried(to_picture, _BESIDE)).min()
            if min(bright.mean(), dark.mean()) >= _SURE and marks.max() < 0.7 * near:
                return Place(to_picture=to_picture, corners=corners, mirrored=_mirrored(corners))
    return None


def _mirrored(corners: Points) -> bool:
    """Whether the corners go round the other way than on the card (pixels count downwards)."""
    after = np.roll(corners, -1, axis=0)
    return bool((corners[:, 0] * after[:, 1] - corners[:, 1] * after[:, 0]).sum() < 0)


def _round(x: float, y: float, count: int) -> Points:
    """Return points on a rectangle of these half sides."""
    part = np.linspace(-0.93, 0.93, count)
    one = np.ones(count)
    return np.concatenate(
        [np.stack(pair, axis=1) for pair in ((x * part, y * one), (x * part, -y * one))]
        + [np.stack(pair, axis=1) for pair in ((x * one, y * part), (-x * one, y * part))]
    )


_MIDDLE = ((INNER[0] + OUTER[0]) / 2, (INNER[1] + OUTER[1]) / 2)
_ALL = _round(*_MIDDLE, 24)
_BRIGHT: Final = _ALL[
    np.linalg.norm(_ALL[:, None] - np.array(MARKS)[None], axis=2).min(axis=1) > 0.35
]
_DARK: Final = np.concatenate(
    (_round(INNER[0] - 0.15, INNER[1] - 0.15, 24), _round(OUTER[0] + 0.35, OUTER[1] + 0.35, 24))
)
_BESIDE: Final = np.array(
    [(x, MARKS[0][1]) for x in (MARKS[0][0] + 0.5, MARKS[1][0] - 0.5, MARKS[1][0] + 0.5)]
)

_REACH: Final = 0.22
"""How far to both sides of an edge the step from dark to bright is looked for, card units."""


def _refined(grey: Grey, corners: Points) -> Points:
    """Return the corners where lines through the steps of brightness along the sides meet."""
    for _ in range(2):
        to_picture = map_between(CORNERS, corners)
        lines = [_side(grey, to_picture, n) for n in range(4)]
        found = [np.cross(lines[n - 1], lines[n]) for n in range(4)]
        with np.errstate(divide="ignore", invalid="ignore"):
            met = np.array([point[:2] / point[2] for point in found])
        if not np.isfinite(met).all() or np.abs(met - corners).max() > np.ptp(corners) * 0.03:
            return corners
        corners = met
    return corners


def _side(grey: Grey, to_picture: Map, number: int) -> NDArray[np.float64]:
    """Return the line along one side of the frame, homogeneous, in pixels."""
    start, end = CORNERS[number], CORNERS[(number + 1) % 4]
    along = (end - start) / np.linalg.norm(end - start)
    outward = np.array([-along[1], along[0]])
    places = start + (end - start) * np.linspace(0.06, 0.94, 60)[:, None]
    steps = np.linspace(-_REACH, _REACH, 45)
    grid = places[:, None] + steps[None, :, None] * outward
    flat = carried(to_picture, grid.reshape(-1, 2))
    values = look_up(grey, flat).reshape(len(places), -1)
    inside, outside = values[:, :6].mean(axis=1), values[:, -6:].mean(axis=1)
    half = (inside + outside) / 2
    over = values > half[:, None]
    last = over.shape[1] - 1 - np.argmax(over[:, ::-1], axis=1)
    good = (inside > 1.3 * outside) & (last > 0) & (last < over.shape[1] - 1)
    rows = np.nonzero(good)[0]
    at = last[rows]
    one, two = values[rows, at], values[rows, at + 1]
    offset = steps[at] + (steps[1] - steps[0]) * (one - half[rows]) / np.maximum(one - two, 1e-12)
    points = carried(to_picture, places[rows] + offset[:, None] * outward)
    if len(points) < 8:
        points = carried(to_picture, np.array([start, end]))
    return _line(points)


def _line(points: Points) -> NDArray[np.float64]:
    """Return the line through points; the third that lies farthest off is left out."""
    kept = points
    for _ in range(3):
        middle = kept.mean(axis=0)
        normal = np.linalg.svd(kept - middle)[2][1]
        away = np.abs((points - middle) @ normal)
        kept = points[away <= max(float(np.quantile(away, 0.67)), 1e-9)]
    return np.array([*normal, -float(normal @ middle)])
