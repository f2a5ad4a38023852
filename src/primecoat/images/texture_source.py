"""Whether a texture was made from its source as it is now: by the date and the hash it keeps.

Source: OpenImageIO 3.2 documentation, *Texture maker* (``--hash``). That the hash is taken of float
pixels and of the name of the filter behind them was found by trying, and is held by a test.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from primecoat.images.header import TextureRecord
from primecoat.images.oiio import pixel_hashes

_FILTERS = (
    "box", "triangle", "gaussian", "sharp-gaussian", "catmull-rom", "blackman-harris", "sinc",
    "lanczos3", "radial-lanczos3", "mitchell", "bspline", "disk", "cubic", "keys",
    "simon", "rifman",
)  # fmt: skip
"""Filters for the smaller levels, one of which the maker hashes with the pixels."""


def made_at(record: TextureRecord) -> float | None:
    """Return the record's date as a POSIX time in this system's time zone, or None.

    Examples
    --------
    >>> made_at(TextureRecord(kind="Plain Texture")) is None
    True
    """
    try:
        return datetime.strptime(record.date, "%Y:%m:%d %H:%M:%S").astimezone().timestamp()
    except (ValueError, OverflowError, OSError):
        return None


def made_from(record: TextureRecord, source: Path) -> bool | None:
    """Whether a texture was made from a picture's pixels as they are now; None if it keeps no hash.

    False also where the maker changed pixels before it hashed them (another colour space, another
    size): only True is certain.

    Raises
    ------
    ImageError
        If the picture cannot be decoded.
    """
    if not record.pixel_hash:
        return None
    return record.pixel_hash in pixel_hashes(source, [f"{name} " for name in _FILTERS])
