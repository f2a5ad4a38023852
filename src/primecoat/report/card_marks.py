"""Where the patches of the test card were found in a picture, as outlines to draw over it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.card.find import CORNERS
from primecoat.proof.card.layout import CAMERA, PATCHES, PLATE_DEPTH, WINDOW, Patch, corners
from primecoat.proof.card.model import CardReading
from primecoat.proof.card.plane import carried, map_between

Outline = tuple[tuple[float, float], ...]
"""Four corners, x and y in pixels of the picture."""


def card_marks(found: CardReading) -> Mapping[str, tuple[Outline, ...]]:
    """Return the outlines of every patch by the key of the input it shows; the wedge is ``white``.

    A tilted patch is seen as the card's own camera sees it.
    """
    to_picture = map_between(CORNERS, np.array(found.corners))
    marks: dict[str, list[Outline]] = {}
    for patch in PATCHES:
        place = _window(patch) if patch.group == "sky" else corners(patch)
        seen = place[:, :2] * (CAMERA / (CAMERA - place[:, 2:]))
        outline = carried(to_picture, seen).round(1)
        marks.setdefault(patch.given, []).append(tuple((float(x), float(y)) for x, y in outline))
    return {key: tuple(outlines) for key, outlines in marks.items()}


def _window(patch: Patch) -> NDArray[np.float64]:
    """Return the corners of a window, which is a hole in the plate."""
    square = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], float) * WINDOW
    return np.column_stack((square + np.array([patch.x, patch.y]), np.full(4, PLATE_DEPTH)))
