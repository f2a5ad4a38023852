"""Colour statements of a JPEG file, from its segments.

Sources: ITU-T T.81 Annex B (markers); ICC.1 Annex B (profile in APP2 segments); CIPA DC-008 (EXIF
in APP1); ITU-T T.872 (Adobe APP14: transform flag). Reading stops at the first scan.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from primecoat.images.exif import exif_statement
from primecoat.images.head import Head
from primecoat.images.header import ColourStatement
from primecoat.images.icc_statement import profile_statement

SIGNATURE = b"\xff\xd8\xff"

INK = "CMYK"
"""How pixels of four components are stored."""

_MOST_SEGMENTS = 4096
_FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}
_ALONE = {0x01, *range(0xD0, 0xD9)}
_ICC = b"ICC_PROFILE\0"
_EXIF = b"Exif\0\0"


@dataclass(slots=True)
class Segments:
    """What was met on the way to the first scan of a JPEG file."""

    components: int = 0
    exif: bytes = b""
    transform: int | None = None
    profile: dict[int, bytes] = field(default_factory=dict)
    profile_parts: int = 0


def statements_of(met: Segments) -> tuple[ColourStatement, ...]:
    """Return what the segments state about colour, the one that rules first."""
    found: list[ColourStatement | None] = []
    if met.profile_parts:
        found.append(_profile(met))
    if met.components == 4:
        found.append(_cmyk(met.transform))
    found.append(exif_statement(met.exif))
    return tuple(statement for statement in found if statement)


def jpeg_storage(met: Segments) -> tuple[str, ...]:
    """Return how pixels are stored, where it is out of the ordinary."""
    if met.components == 4:
        return (INK,)
    if met.components == 3 and met.transform == 0:
        return ("RGB, not YCbCr (Adobe marker)",)
    return ()


def read_segments(head: Head) -> Segments:
    """Read the segments up to the first scan; never raises, whatever the bytes are."""
    met = Segments()
    at = 2
    for _ in range(_MOST_SEGMENTS):
        front = head.at(at, 4)
        if len(front) < 2 or front[0] != 0xFF:
            break
        marker = front[1]
        if marker == 0xFF or marker in _ALONE:
            at += 1 if marker == 0xFF else 2
            continue
        length = int.from_bytes(front[2:4], "big")
        if marker in (0xDA, 0xD9) or length < 2:
            break
        if marker in _FRAMES or marker in (0xE1, 0xE2, 0xEE):
            _note(met, marker, head.at(at + 4, length - 2))
        at += 2 + length
    return met


def _note(met: Segments, marker: int, body: bytes) -> None:
    if marker in _FRAMES and len(body) >= 6:
        met.components = body[5]
    elif marker == 0xE1 and body.startswith(_EXIF) and not met.exif:
        met.exif = body[len(_EXIF) :]
    elif marker == 0xE2 and body.startswith(_ICC) and len(body) >= len(_ICC) + 2:
        number, met.profile_parts = body[len(_ICC)], body[len(_ICC) + 1]
        met.profile.setdefault(number, body[len(_ICC) + 2 :])
    elif marker == 0xEE and body.startswith(b"Adobe") and len(body) >= 12:
        met.transform = body[11]


def _profile(met: Segments) -> ColourStatement:
    wanted = range(1, met.profile_parts + 1)
    if any(number not in met.profile for number in wanted):
        words = f"an ICC profile of which {len(met.profile)} of {met.profile_parts} parts are there"
        return ColourStatement(kind="ICC profile", reading=None, firm=False, words=words)
    profile = b"".join(met.profile[number] for number in wanted)
    return profile_statement(profile, grey=met.components == 1)


def _cmyk(transform: int | None) -> ColourStatement:
    stored = {None: "no Adobe marker", 0: "Adobe marker, CMYK", 2: "Adobe marker, YCCK"}
    words = f"four components ({stored.get(transform, 'Adobe marker')}): ink, not RGB"
    return ColourStatement(kind="CMYK", reading=None, firm=True, words=words)
