"""What a TGA file says in its header, footer and extension area.

Source: Truevision TGA File Format Specification, version 2.0 (1991): image types and descriptor
(fields 3 and 5.6), the footer ("TRUEVISION-XFILE."), the extension area of 495 bytes (gamma at
478 as numerator and denominator, attributes type at 494: 3 = useful alpha, 4 = pre-multiplied).
The layout here is from memory, and checked against files by independent writers.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from primecoat.images.gamma import judge_gamma
from primecoat.images.head import Head
from primecoat.images.header import Alpha, ColourStatement

_FOOTER = b"TRUEVISION-XFILE."
_EXTENSION = 495
_TYPES = {1: "palette", 2: "RGB", 3: "grey", 9: "palette", 10: "RGB", 11: "grey"}
_ATTRIBUTES = {
    0: "no alpha in the attribute bits (attributes type 0)",
    1: "attribute bits to be ignored (attributes type 1)",
    2: "attribute bits of no known meaning (attributes type 2)",
    4: "colour multiplied by alpha (attributes type 4)",
}
_ALPHA: dict[int, Alpha] = {3: "unassociated", 4: "associated"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TgaFacts:
    """What the bytes of a TGA file say.

    Parameters
    ----------
    statements
        What the extension area's gamma says about colour.
    storage
        How pixels are stored, where it is out of the ordinary.
    alpha
        Kind of alpha; None if nothing says.
    channels
        Channel names where the image library gets them wrong (grey with alpha as R and G).
    """

    statements: tuple[ColourStatement, ...] = ()
    storage: tuple[str, ...] = ()
    alpha: Alpha | None = None
    channels: tuple[str, ...] = ()


def tga_facts(head: Head) -> TgaFacts:
    """Return what the header, and the extension area of a version 2 file, say."""
    front = head.at(0, 18)
    if len(front) < 18:
        return TgaFacts()
    kind, depth, descriptor = front[2], front[16], front[17]
    storage = []
    if _TYPES.get(kind) == "palette":
        storage.append("palette")
    if depth in (15, 16) and _TYPES.get(kind) != "grey":
        storage.append("5 bits a channel")
    channels = ("Y", "A") if _TYPES.get(kind) == "grey" and depth == 16 else ()
    extension = _extension_area(head)
    if not extension:
        alpha: Alpha | None = "unassociated" if channels else None
        return TgaFacts(storage=tuple(storage), alpha=alpha, channels=channels)
    attributes = extension[494]
    bits = descriptor & 0x0F
    if attributes in _ATTRIBUTES and (bits or depth == 32):
        storage.append(_ATTRIBUTES[attributes])
    return TgaFacts(
        statements=_gamma(extension),
        storage=tuple(storage),
        alpha=_ALPHA.get(attributes, "unassociated"),
        channels=channels,
    )


def _extension_area(head: Head) -> bytes:
    footer = head.at(head.size - 26, 26)
    if len(footer) < 26 or footer[8:25] != _FOOTER:
        return b""
    offset = int.from_bytes(footer[:4], "little")
    area = head.at(offset, _EXTENSION) if offset else b""
    stated = int.from_bytes(area[:2], "little")
    return area if len(area) == _EXTENSION and stated >= _EXTENSION else b""


def _gamma(extension: bytes) -> tuple[ColourStatement, ...]:
    above, below = struct.unpack_from("<HH", extension, 478)
    if not above or not below:  # a denominator of zero: the field is not used
        return ()
    exponent = above / below
    judged = judge_gamma(round(100000 / exponent), None, has_primaries=False)
    return (
        ColourStatement(
            kind="TGA gamma",
            reading=judged.reading,
            firm=judged.firm,
            words=f"gamma {exponent:g} in the extension area: {judged.words}",
            among=judged.among,
        ),
    )
