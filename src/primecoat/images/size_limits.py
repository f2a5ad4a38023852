"""Pictures that claim more than is decoded: small files can unpack to far more than memory."""

from __future__ import annotations

from pathlib import Path

from primecoat.errors import ImageError
from primecoat.limits import DECODED_BYTES, PIXELS

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
    ImageError
        If it is one.

    Examples
    --------
    >>> refuse_bomb(Path("cup.png"), (2, 2, 1), 4, (2, 1))
    >>> refuse_bomb(Path("cup.png"), (10**6, 10**6, 1), 4, (10**6, 1))
    Traceback (most recent call last):
    primecoat.errors.ImageError: Cannot use the picture cup.png: it claims 1000000 x 1000000 ...
    """
    width, height, depth = size
    pixels = width * height * max(1, depth)
    claims = f"it claims {width} x {height} pixels of {channels} channels"
    if pixels > PIXELS.value:
        raise ImageError(
            f"Cannot use the picture {path}: {claims}, more than the {PIXELS.value} pixels that "
            "are decoded.",
            PIXELS.raised_by(pixels),
        )
    together = piece[0] * min(piece[1], max(1, height)) * channels * _BYTES
    if together > DECODED_BYTES.value:
        raise ImageError(
            f"Cannot use the picture {path}: {claims}, and {together} bytes of them can only be "
            f"decoded together, more than {DECODED_BYTES.value}.",
            DECODED_BYTES.raised_by(together),
        )
