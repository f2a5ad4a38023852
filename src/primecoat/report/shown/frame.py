"""The part of a picture that is looked at, and how many pixels it is shown in."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.errors import UseError

Box = tuple[int, int, int, int]
"""Column, row, width and height, in pixels of the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A box of a picture and the size it is shown in, never larger than the box.

    Parameters
    ----------
    box
        In pixels of the file.
    width, height
        Shown pixels.
    """

    box: Box
    width: int
    height: int

    @property
    def reduced(self) -> bool:
        """Whether one shown pixel stands for several of the file."""
        return (self.width, self.height) != self.box[2:]

    @property
    def block(self) -> float:
        """Pixels of the file that one shown pixel stands for, on the average."""
        return self.box[2] * self.box[3] / (self.width * self.height)


def framed(
    whole: tuple[int, int],
    box: Box | None = None,
    size: tuple[int, int] | None = None,
    most: int | None = None,
) -> Frame:
    """Return what is looked at: the box within the picture, fitted into a size.

    Parameters
    ----------
    whole
        Width and height of the picture.
    box
        What is wanted; cut at the picture's edges. None for all of it.
    size
        Width and height to fit into, the shape kept; None for every pixel.
    most
        Greatest number of shown pixels.

    Raises
    ------
    UseError
        If the box lies outside the picture, or a size is not positive.

    Examples
    --------
    >>> framed((4096, 2048), size=(1920, 1080))
    Frame(box=(0, 0, 4096, 2048), width=1920, height=960)
    >>> framed((100, 100), box=(90, 90, 64, 64), size=(500, 500)).box
    (90, 90, 10, 10)
    """
    x, y, wide, high = box or (0, 0, *whole)
    left, top = max(0, x), max(0, y)
    right, bottom = min(whole[0], x + wide), min(whole[1], y + high)
    if right <= left or bottom <= top:
        raise UseError(
            f"There is no pixel in the box {x}, {y}, {wide}, {high} of a picture of "
            f"{whole[0]} x {whole[1]}.",
            "Give column, row, width and height within it.",
        )
    wide, high = right - left, bottom - top
    if size is not None and min(size) < 1:
        raise UseError(
            f"A size of {size[0]} x {size[1]} cannot be shown.", "Give positive numbers."
        )
    scale = 1.0
    if size is not None:
        scale = min(scale, size[0] / wide, size[1] / high)
    if most is not None:
        scale = min(scale, (most / (wide * high)) ** 0.5)
    return Frame(
        box=(left, top, wide, high),
        width=max(1, int(wide * scale + 1e-6)),
        height=max(1, int(high * scale + 1e-6)),
    )
