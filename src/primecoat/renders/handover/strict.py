"""Whether the header of a file is that of SMPTE ST 2065-4, read from its bytes.

The rules are those that OpenEXR's documentation tells of the standard (*OpenEXR*, "exr2aces" and
"Standard Optional Attributes", ``acesImageContainerFlag``) and the Color Interop Forum's
recommendation 04 adds; the standard's own text was not at hand.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from primecoat.colour.primaries import PRIMARIES
from primecoat.images.second_reader.exr_header import ExrHeader, read_exr_header

_CHANNELS = (("B", "G", "R"), ("A", "B", "G", "R"))
_NEEDED = (
    ("acesImageContainerFlag", "int"),
    ("channels", "chlist"),
    ("chromaticities", "chromaticities"),
    ("compression", "compression"),
    ("dataWindow", "box2i"),
    ("displayWindow", "box2i"),
    ("lineOrder", "lineOrder"),
    ("pixelAspectRatio", "float"),
    ("screenWindowCenter", "v2f"),
    ("screenWindowWidth", "float"),
)


def deviations(path: Path) -> tuple[str, ...]:
    """Return where a file leaves SMPTE ST 2065-4, in words; none for a file that keeps to it.

    Raises
    ------
    ImageError
        If it is no OpenEXR file.
    """
    return tuple(_deviations(read_exr_header(path)))


def _deviations(header: ExrHeader) -> Iterator[str]:
    if header.version != 2 or header.flags & ~0x400:
        yield f"version field {header.version:#x}, flags {header.flags:#x}: one part of scan lines"
    for name, kind in _NEEDED:
        if header.value(name, kind) is None:
            yield f"no attribute {name} of type {kind}"
    flag = header.value("acesImageContainerFlag", "int")
    if flag is not None and struct.unpack("<i", flag)[0] != 1:
        yield "acesImageContainerFlag is not 1"
    if (header.value("compression", "compression") or b"\0")[0] != 0:
        yield "it is compressed"
    if (header.value("lineOrder", "lineOrder") or b"\0")[0] != 0:
        yield "its lines do not run from top to bottom"
    channels = header.channels()
    names = tuple(channel.name for channel in channels)
    if names not in _CHANNELS:
        yield f"channels {', '.join(names)}: R, G, B or R, G, B, A"
    if {channel.kind for channel in channels} - {"half"}:
        yield "not all channels are half"
    if any(channel.sampling != (1, 1) for channel in channels):
        yield "a channel is subsampled"
    found = header.value("chromaticities", "chromaticities")
    if found is not None and not np.allclose(np.frombuffer(found, "<f4"), _AP0, atol=1e-6):
        yield "the chromaticities are not those of AP0"
    if header.text("colorInteropID") not in (None, "lin_ap0_scene"):
        yield f"colorInteropID is {header.text('colorInteropID')}"


def ap0_chromaticities() -> tuple[float, ...]:
    """Return red, green, blue and white x, y of AP0. Source: SMPTE ST 2065-1."""
    ap0 = PRIMARIES["ap0"]
    return (*ap0.red, *ap0.green, *ap0.blue, *ap0.white)


_AP0 = np.array(ap0_chromaticities(), np.float32)
