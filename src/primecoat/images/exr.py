"""Colour statements of an OpenEXR file, from the attributes of its headers.

Source: ASWF Color Interop Forum, *Identifying the Color Space of OpenEXR Files* v1.0.0 (reading
order: container flag, then colorInteropID, then the hint of the chromaticities) and *An ID for
Color Interop* v1.0.0 (namespaces).
"""

from __future__ import annotations

import struct

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.images.encodings import WORDS, match_primaries, reading_of
from primecoat.images.exr_parts import SIGNATURE, ExrHeaders, Part
from primecoat.images.header import ColourStatement, PartHeader, TextureRecord
from primecoat.images.layers import layers_of
from primecoat.images.texture_record import texture_record

__all__ = ["OF_A_PART", "SIGNATURE"]

OF_A_PART = "colorInteropID of a part"
"""Kind of a statement that says where a later part differs from the first."""

_FLAGS = ("acesImageContainerFlag", "acesImageContainer")


def statements_of(headers: ExrHeaders) -> tuple[ColourStatement, ...]:
    """Return what the headers state about the first part, then where other parts differ."""
    if not headers.parts:
        return ()
    first = headers.parts[0]
    found = [*_of_part(first)]
    for number, part in enumerate(headers.parts[1:], start=1):
        found.extend(_other_part(first, part, number))
    return tuple(found)


def part_headers(headers: ExrHeaders) -> tuple[PartHeader, ...]:
    """Return every part of a file with more than one part or layer; none otherwise."""
    found = tuple(
        PartHeader(
            name=part.text("name"),
            channels=tuple(c.name for c in part.channels()),
            pixel_types=tuple(c.pixel_type for c in part.channels()),
            statements=_of_part(part),
            views=part.views(),
        )
        for part in headers.parts
    )
    return found if len(found) > 1 or any(len(layers_of(part)) > 1 for part in found) else ()


def exr_levels(headers: ExrHeaders) -> int:
    """Return how many sizes the first part is stored in."""
    return headers.parts[0].levels() if headers.parts else 1


OTHER_WINDOW = "a data window other than the display window"
"""How an OpenEXR file stores pixels that do not fill its frame, or that reach beyond it."""


def _frame(headers: ExrHeaders) -> bytes | None:
    """Return the display window, which all parts of a file share."""
    return headers.parts[0].attributes.get("displayWindow")


def exr_storage(headers: ExrHeaders) -> tuple[str, ...]:
    """Return how pixels are stored, where it is out of the ordinary."""
    channels = [channel for part in headers.parts for channel in part.channels()]
    found = []
    if headers.tiled:
        found.append("tiled")
    if headers.deep:
        found.append("deep")
    types = sorted({channel.pixel_type for channel in channels})
    if len(types) > 1:
        found.append(f"channels of the types {', '.join(types)}")
    if any(channel.subsampled for channel in channels):
        found.append("subsampled channels (luminance and chroma)")
    if any(part.attributes.get("dataWindow") != _frame(headers) for part in headers.parts):
        found.append(OTHER_WINDOW)
    return tuple(found)


def exr_texture(headers: ExrHeaders) -> TextureRecord | None:
    """Return the record of a texture, or None for a plain picture."""
    if not headers.parts or not headers.parts[0].text("textureformat"):
        return None
    part = headers.parts[0]
    return texture_record(
        part.text("textureformat"),
        software=part.text("Software"),
        date=part.text("DateTime") or part.text("capDate"),
        pixel_hash=part.text("oiio:SHA-1"),
    )


def resolve_id(text: str) -> str | None:
    """Return the reading an ID stands for, dropping namespaces from the left, or None.

    Examples
    --------
    >>> resolve_id("lin_ap1_scene"), resolve_id("studio:local:srgb_p3d65_scene"), resolve_id("x")
    ('lin_ap1_scene', None, None)
    >>> resolve_id("studio:lin_ap1_scene")
    'lin_ap1_scene'
    """
    for name in (text, text.partition(":")[2]):
        if name in SPACES or name == DATA:
            return name
    return None


def _of_part(part: Part) -> tuple[ColourStatement, ...]:
    return (*_flag(part), *_interop_id(part), *_chromaticities(part))


def _flag(part: Part) -> list[ColourStatement]:
    for name in _FLAGS:
        raw = part.attributes.get(name, b"")
        if len(raw) == 4 and struct.unpack("<i", raw)[0] == 1:
            words = f"{name} is set: ACES2065-1"
            return [
                ColourStatement(
                    kind="ACES container flag", reading="lin_ap0_scene", firm=True, words=words
                )
            ]
    return []


def _interop_id(part: Part) -> list[ColourStatement]:
    text = part.text("colorInteropID")
    if not text:
        return []
    reading = resolve_id(text)
    if text == UNKNOWN:
        words = "colorInteropID is unknown: whoever wrote the file did not know"
    elif reading == DATA:
        words = "colorInteropID is data: numbers, not colour"
    elif reading is None:
        words = f"colorInteropID {text} is not in the vocabulary"
    else:
        words = f"colorInteropID is {text}"
    firm = text != UNKNOWN
    return [ColourStatement(kind="colorInteropID", reading=reading, firm=firm, words=words)]


def _chromaticities(part: Part) -> list[ColourStatement]:
    raw = part.attributes.get("chromaticities", b"")
    if len(raw) != 32:
        return []
    primaries = match_primaries(struct.unpack("<8f", raw))
    words = f"chromaticities of {WORDS[primaries] if primaries else 'no known'} primaries"
    return [
        ColourStatement(
            kind="chromaticities",
            reading=reading_of("linear", primaries),
            firm=False,
            words=f"{words} (a hint: writers leave them stale)",
        )
    ]


def _other_part(first: Part, part: Part, number: int) -> list[ColourStatement]:
    """Note a later part that states something else than the first."""
    own, ruling = part.text("colorInteropID"), first.text("colorInteropID")
    if own == ruling:
        return []
    name = part.text("name")
    words = (
        f"part {number} ({name}) has {f'colorInteropID {own}' if own else 'no colorInteropID'}, "
        f"the first part ({first.text('name')}) has {ruling or 'none'}"
    )
    return [ColourStatement(kind=OF_A_PART, reading=None, firm=False, words=words)]
