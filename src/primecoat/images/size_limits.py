"""Pictures that claim more than is decoded: small files can unpack to far more than memory."""

from __future__ import annotations

from pathlib import Path

from primecoat.errors import TooLargeError
from primecoat.limits import DECODED_BYTES, PIXELS

_REMEDY = "Export it smaller, or in tiles."

_BYTES = 4
"""Of a number as float32, the most that is decoded to."""


def refuse_bomb(
    path: Path, size: tuple[int, int, int], channels: int, piece: tuple[int, int]
) -> None:
    """Refuse a picture of more pixels, or of larger pieces, than are decoded.

    Parameters
    ----------
    path
        The file.
    size
        Width, height and depth that it claims, in pixels.
    channels
        Number of its channels.
    piece
        Width and height of what can only be decoded together.

    Raises
    ------
    TooLargeError
        If it is one.

    Examples
    --------
    >>> refuse_bomb(Path("cup.png"), (2, 2, 1), 4, (2, 1))
    >>> refuse_bomb(Path("cup.png"), (10**6, 10**6, 1), 4, (10**6, 1))
    Traceback (most recent call last):
    primecoat.errors.TooLargeError: Cannot use the picture cup.png: it claims 1000000 x ...
    """
    width, height, depth = size
    pixels = width * height * max(1, depth)
    claims = f"it claims {width} x {height} pixels of {channels} channels"
    if pixels > PIXELS.value:
        raise TooLargeError(
            f"Cannot use the picture {path}: {claims}, more than the {PIXELS.value} pixels that "
            f"are decoded. {PIXELS.raised_by(pixels)}",
            _REMEDY,
        )
    together = piece[0] * min(piece[1], max(1, height)) * channels * _BYTES
    if together > DECODED_BYTES.value:
        raise TooLargeError(
            f"Cannot use the picture {path}: {claims}, and {together} bytes of them can only be "
            f"decoded together, more than {DECODED_BYTES.value}. "
            f"{DECODED_BYTES.raised_by(together)}",
            _REMEDY,
        )
