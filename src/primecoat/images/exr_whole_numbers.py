"""OpenEXR channels of 32-bit whole numbers beside channels of other types, written exactly.

OpenImageIO takes one array for all channels of a part and takes whole numbers through float32
on their way into a channel, which rounds the great ones. Numbers of 32 bits are therefore handed
over as float32 of the same bits, which are copied as they are; then the file's list of channels,
which holds the type of each, is told that they are whole numbers. The lossless compressions look
at bytes, not at types.

Source: OpenEXR, *File Layout*: ``chlist`` is name, zero, type (0 uint, 1 half, 2 float), pLinear
and three reserved bytes, x and y sampling; the file has no checksum.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path
from typing import BinaryIO

from primecoat.errors import ImageError

_UINT, _FLOAT = (number.to_bytes(4, "little") for number in (0, 2))
_MULTIPART = 0x1000


def mark_whole_numbers(path: Path, names: Sequence[Collection[str]]) -> None:
    """Turn float channels into channels of 32-bit whole numbers of the same bits.

    Parameters
    ----------
    path
        A whole OpenEXR file; it is changed in place.
    names
        For each part, the channels that are meant.

    Raises
    ------
    ImageError
        If the file's headers are not as they were written.
    """
    with path.open("r+b") as file:
        flags = int.from_bytes(file.read(8)[4:], "little")
        for wanted in names:
            missing = _mark_part(file, path, set(wanted))
            if missing:
                raise _broken(path, f"has no float channels {', '.join(sorted(missing))}")
            if not flags & _MULTIPART:
                break


def _mark_part(file: BinaryIO, path: Path, wanted: set[str]) -> set[str]:
    """Mark the channels of the part whose header begins here; return those that were not found."""
    while name := _text(file, path):
        kind, size = _text(file, path), int.from_bytes(file.read(4), "little")
        end = file.tell() + size
        if (name, kind) == ("channels", "chlist"):
            while channel := _text(file, path):
                at = file.tell()
                if channel in wanted and file.read(4) == _FLOAT:
                    file.seek(at)
                    file.write(_UINT)
                    wanted.discard(channel)
                file.seek(at + 16)
        file.seek(end)
    return wanted


def _text(file: BinaryIO, path: Path) -> str:
    """Return the text up to the next zero byte."""
    read = bytearray()
    while (byte := file.read(1)) != b"\0":
        if not byte or len(read) > 255:
            raise _broken(path, "is cut off within its header")
        read += byte
    return read.decode("utf-8", "replace")


def _broken(path: Path, what: str) -> ImageError:
    return ImageError(
        f"Cannot write the picture {path}: what was written {what}.",
        "This is a fault of the program; please report it.",
    )
