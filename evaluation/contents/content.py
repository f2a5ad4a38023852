"""What one picture shows, before it is written to a file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Kind = Literal["colour", "data"]
Floats = NDArray[np.floating[Any]]
"""Any array of numbers; pictures are float32 of shape (height, width, channels)."""
Rng = np.random.Generator
Shape = tuple[int, int]
"""Height and width in pixels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """A picture as numbers, and what they mean.

    Parameters
    ----------
    kind
        Whether the numbers are colour.
    slot
        The slot word for what it shows.
    subject
        What it shows, more closely; a key of the trade words for file names.
    pixels
        Shape (height, width, channels), 1 to 4 channels. Of colour: linear light with Rec.709
        primaries, and alpha behind it if there are 2 or 4. Of data: the numbers to store.
    unbounded
        Whether numbers lie outside 0 to 1, so that only a float file can hold them.
    damage
        What was done to it that should not have been; empty if nothing.
    """

    kind: Kind
    slot: str
    subject: str
    pixels: Floats
    unbounded: bool = False
    damage: str = ""

    @property
    def grey(self) -> bool:
        """Whether the picture has one channel, or is grey with alpha behind it."""
        channels = int(self.pixels.shape[2])
        return channels == 1 or (channels == 2 and self.kind == "colour")


def colour(slot: str, subject: str, pixels: Floats, *, unbounded: bool = False) -> Content:
    """Return a colour picture."""
    return Content(
        kind="colour", slot=slot, subject=subject, pixels=_three(pixels), unbounded=unbounded
    )


def data(slot: str, subject: str, pixels: Floats, *, unbounded: bool = False) -> Content:
    """Return a picture of numbers that are no colour."""
    return Content(
        kind="data", slot=slot, subject=subject, pixels=_three(pixels), unbounded=unbounded
    )


def _three(pixels: Floats) -> Floats:
    shaped = pixels if pixels.ndim == 3 else pixels[..., None]
    return np.ascontiguousarray(shaped, dtype=np.float32)
