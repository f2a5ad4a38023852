"""What a person names for a comparison or a match: files or sequences, their spaces and views."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from primecoat.errors import UseError
from primecoat.renders.frame import Frame, open_frame
from primecoat.renders.pairing import Pair, pair_frames
from primecoat.renders.sequence import numbered


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One side of a comparison, as a person names it.

    Parameters
    ----------
    name
        A file, or a pattern of a sequence such as ``beauty.####.exr``.
    space
        What its numbers are; None if the file states it.
    view
        View that it is seen through; None for the default, or for display-referred numbers.
    layer, part
        Layer and part of the file; see :func:`primecoat.renders.frame.open_frame`.
    """

    name: str
    space: str | None = None
    view: str | None = None
    layer: str = ""
    part: str | None = None


def frames_of(a: Input, b: Input, *, config: str) -> Iterator[tuple[int | None, Frame, Frame]]:
    """Yield the frames of two inputs that have the same number, with it.

    Raises
    ------
    UseError
        If nobody says a space, or frames are missing.
    ImageError
        If a picture cannot be read.
    """
    ones, others = numbered(a.name), numbered(b.name)
    if len(ones) == len(others) == 1:
        others = ((ones[0][0], others[0][1]),)
    if [number for number, _ in ones] != [number for number, _ in others]:
        lone = sorted({n for n, _ in ones} ^ {n for n, _ in others}, key=str)
        raise UseError(
            f"{a.name} and {b.name} do not hold the same frames: only one of them has "
            f"{', '.join(str(n) for n in lone[:5])}{' …' if len(lone) > 5 else ''}.",
            "Give the same frames of both.",
        )
    for (number, one), (_, other) in zip(ones, others, strict=True):
        frames = [
            open_frame(path, space=side.space, layer=side.layer, part=side.part, config=config)
            for path, side in ((one, a), (other, b))
        ]
        yield number, frames[0], frames[1]


def pairs_of(
    a: Input, b: Input, *, display: str | None, colour_only: bool, config: str
) -> Iterator[tuple[int | None, Pair]]:
    """Yield the frames of two inputs that lie on each other, each with its number.

    Raises
    ------
    UseError
        If nobody says a space, sizes or channels differ, frames are missing, or views are mixed.
    ImageError
        If a picture cannot be read.
    """
    for number, one, other in frames_of(a, b, config=config):
        yield (
            number,
            pair_frames(
                one,
                other,
                view_a=a.view,
                view_b=b.view,
                display=display,
                colour_only=colour_only,
                config=config,
            ),
        )
