"""TIFF directories, and what the EXIF ones among them say about colour.

Sources: TIFF 6.0 section 2 (directories); JEITA CP-3451 / CIPA DC-008 (EXIF: ColorSpace 0xA001,
1 = sRGB, 0xFFFF = uncalibrated; InteroperabilityIndex R98 = sRGB, R03 = Adobe RGB).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from io import BytesIO

from primecoat.images.head import Head
from primecoat.images.header import ColourStatement

_SIZES = {
    1: 1,
    2: 1,
    3: 2,
    4: 4,
    5: 8,
    6: 1,
    7: 1,
    8: 2,
    9: 4,
    10: 8,
    11: 4,
    12: 8,
    13: 4,
    16: 8,
    18: 8,
}
_MOST_ENTRIES = 4096

EXIF_DIRECTORY = 0x8769
_COLOUR_SPACE = 0xA001
_INTEROPERABILITY = 0xA005


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a directory: type, count, and where its value lies in the file."""

    type: int
    count: int
    offset: int


class Directories:
    """The directories of a TIFF structure (classic or big), read on demand.

    Parameters
    ----------
    head
        File or block that starts with a TIFF header.

    Attributes
    ----------
    big
        Whether it is a BigTIFF, with places of 64 bits.
    """

    def __init__(self, head: Head) -> None:
        self._head = head
        front = head.at(0, 16)
        self._order = {b"II": "<", b"MM": ">"}.get(front[:2], "")
        magic = self._number(front[2:4]) if self._order else 0
        self.big = magic == 43
        self.valid = magic in (42, 43) and len(front) >= 8
        self.first = self._number(front[8:16] if self.big else front[4:8]) if self.valid else 0

    def _number(self, raw: bytes) -> int:
        return int.from_bytes(raw, "little" if self._order == "<" else "big")

    def entries(self, offset: int) -> dict[int, Entry]:
        """Return the entries of the directory at `offset` by tag; empty if there is none."""
        if not self.valid or offset < 8:
            return {}
        width, step, short = (8, 20, 8) if self.big else (2, 12, 4)
        count = min(self._number(self._head.at(offset, width)), _MOST_ENTRIES)
        table = self._head.at(offset + width, count * step)
        found: dict[int, Entry] = {}
        for at in range(0, len(table) - step + 1, step):
            tag, kind = struct.unpack_from(f"{self._order}HH", table, at)
            number = self._number(table[at + 4 : at + 4 + short])
            place = offset + width + at + 4 + short
            if _SIZES.get(kind, 1) * number > short:
                place = self._number(table[at + 4 + short : at + step])
            found.setdefault(tag, Entry(kind, number, place))
        return found

    def following(self, offset: int) -> int:
        """Return where the directory after the one at `offset` lies; 0 if there is none."""
        if not self.valid or offset < 8:
            return 0
        width, step = (8, 20) if self.big else (2, 12)
        count = self._number(self._head.at(offset, width))
        return self._number(self._head.at(offset + width + count * step, 8 if self.big else 4))

    def raw(self, entry: Entry | None) -> bytes:
        """Return the bytes of an entry's value, fewer where the file ends."""
        if entry is None:
            return b""
        return self._head.at(entry.offset, entry.count * _SIZES.get(entry.type, 1))

    def integer(self, entry: Entry | None) -> int | None:
        """Return the first whole number of an entry's value, or None."""
        if entry is None or entry.type not in (1, 3, 4, 13, 16):
            return None
        raw = self.raw(entry)[: _SIZES[entry.type]]
        return self._number(raw) if raw else None

    def integers(self, entry: Entry | None) -> tuple[int, ...]:
        """Return the whole numbers of an entry's value; none of another type."""
        if entry is None or entry.type not in (1, 3, 4, 13, 16, 18):
            return ()
        size, count = _SIZES[entry.type], min(entry.count, _MOST_ENTRIES)
        raw = self.raw(Entry(entry.type, count, entry.offset))
        return tuple(
            self._number(raw[at : at + size]) for at in range(0, len(raw) - size + 1, size)
        )

    def text(self, entry: Entry | None) -> str:
        """Return the text of an entry's value up to its first zero, or an empty text."""
        if entry is None or entry.type != 2:
            return ""
        return self.raw(entry).partition(b"\0")[0].decode("utf-8", "replace").strip()

    def fractions(self, entry: Entry | None) -> tuple[float, ...]:
        """Return the unsigned fractions of an entry's value."""
        if entry is None or entry.type != 5:
            return ()
        raw = self.raw(entry)
        numbers = struct.unpack(f"{self._order}{len(raw) // 8 * 2}I", raw[: len(raw) // 8 * 8])
        return tuple(a / b if b else 0.0 for a, b in zip(numbers[::2], numbers[1::2], strict=True))


def exif_statement(block: bytes, *, firm: bool = True) -> ColourStatement | None:
    """Return what an EXIF block (from its TIFF header on) says about colour, or None.

    Parameters
    ----------
    block
        EXIF bytes, without the ``Exif`` marker in front.
    firm
        Whether the file format takes EXIF as a statement of colour.
    """
    if not block:
        return None
    directories = Directories(Head(BytesIO(block)))
    root = directories.entries(directories.first)
    return directory_statement(directories, root, firm=firm)


def directory_statement(
    directories: Directories, root: dict[int, Entry], *, firm: bool = True
) -> ColourStatement | None:
    """Return what the EXIF directory below `root` says about colour, or None."""
    exif = directories.entries(directories.integer(root.get(EXIF_DIRECTORY)) or 0)
    space = directories.integer(exif.get(_COLOUR_SPACE))
    inter = directories.entries(directories.integer(exif.get(_INTEROPERABILITY)) or 0)
    index = directories.raw(inter.get(1))[:3].decode("latin-1")
    if space is None and index not in ("R98", "R03"):
        return None
    stated = "EXIF without ColorSpace" if space is None else f"EXIF ColorSpace {space}"
    words = f"{stated}, interoperability index {index}" if index else stated
    reading: str | None = None
    if space == 1:
        reading, words = "srgb_rec709_scene", f"{words}: sRGB"
    elif index == "R03" and space in (0xFFFF, None):
        reading, words = "g22_adobergb_scene", f"{words}: Adobe RGB"
    elif space == 2:
        reading, firm = "g22_adobergb_scene", False
        words += ": Adobe RGB, in a way outside the standard"
    elif space is None:
        reading, firm, words = "srgb_rec709_scene", False, f"{words}: sRGB by the index alone"
    else:
        firm, words = False, f"{words}: uncalibrated, nothing is told"
    return ColourStatement(kind="EXIF ColorSpace", reading=reading, firm=firm, words=words)
