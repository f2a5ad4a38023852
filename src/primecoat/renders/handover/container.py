"""Whether a file is a SMPTE ST 2065-4 container, told from the bytes of its header.

The standard's own text is not public; the requirements are those that two open sources state of
it. OpenEXR, *exr2aces*: "images are stored as scanlines; tiles are not allowed", three channels R,
G, B with an optional alpha, and "the chromaticities header attribute must specify the ACES RGB
primaries and white point". OpenImageIO, ``openexr:ACESContainerPolicy`` ("the ACES Container format
defined in ST 2065-4"): channels named R, G, B or A, of half, not compressed, flag
``acesImageContainerFlag`` 1, ID ``lin_ap0_scene`` with it. The list of attributes that every
OpenEXR file has, and their types, is OpenEXR's *Standard Attributes*.
"""

from __future__ import annotations

import struct
from pathlib import Path

from primecoat.images.second_reader.exr_header import ExrHeader, read_exr_header

AP0 = (0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.077, 0.32168, 0.33767)
"""x, y of red, green, blue and white. Source: ACES documentation, ACES2065-1."""

_REQUIRED = {
    "channels": "chlist",
    "compression": "compression",
    "dataWindow": "box2i",
    "displayWindow": "box2i",
    "lineOrder": "lineOrder",
    "pixelAspectRatio": "float",
    "screenWindowCenter": "v2f",
    "screenWindowWidth": "float",
    "chromaticities": "chromaticities",
    "acesImageContainerFlag": "int",
    "colorInteropID": "string",
}

_LONG_NAMES = 0x400
_FLAGS = {0x200: "it has tiles", 0x800: "it is deep", 0x1000: "it has several parts"}


def container_deviations(path: Path) -> tuple[str, ...]:
    """Return in words how a file deviates from SMPTE ST 2065-4; none if it is a container.

    Raises
    ------
    ImageError
        If it is no OpenEXR file.
    """
    header = read_exr_header(path)
    found = [words for flag, words in _FLAGS.items() if header.flags & flag]
    if header.version != 2 or header.flags & ~(_LONG_NAMES | sum(_FLAGS)):
        found.append(f"version {header.version} with flags {header.flags:#x}")
    for name, kind in _REQUIRED.items():
        own = header.attributes.get(name)
        if own is None:
            found.append(f"{name} is missing")
        elif own[0] != kind:
            found.append(f"{name} is a {own[0]}, not a {kind}")
    return (*found, *_channels(header), *_values(header))


def _channels(header: ExrHeader) -> list[str]:
    channels = header.channels()
    names = tuple(channel.name for channel in channels)
    found = []
    if names not in (("B", "G", "R"), ("A", "B", "G", "R")):
        found.append(f"channels {', '.join(names)}, not R, G, B with or without A")
    found += [f"{c.name} is {c.kind}, not half" for c in channels if c.kind != "half"]
    found += [f"{c.name} is subsampled" for c in channels if c.sampling != (1, 1)]
    return found


def _values(header: ExrHeader) -> list[str]:
    found = []
    flag = header.value("acesImageContainerFlag", "int")
    if flag is not None and flag != struct.pack("<i", 1):
        found.append(f"acesImageContainerFlag is {int.from_bytes(flag, 'little')}, not 1")
    packed = header.value("compression", "compression")
    if packed is not None and packed != b"\0":
        found.append(f"it is compressed (method {packed[0]})")
    order = header.value("lineOrder", "lineOrder")
    if order is not None and order != b"\0":
        found.append("its rows do not go from top to bottom")
    stated = header.value("chromaticities", "chromaticities")
    if stated is not None and stated != struct.pack("<8f", *AP0):
        found.append("chromaticities are not those of AP0 with the ACES white")
    said = header.text("colorInteropID")
    if said is not None and said != "lin_ap0_scene":
        found.append(f"colorInteropID is {said}, not lin_ap0_scene")
    windows = header.window("dataWindow"), header.window("displayWindow")
    for name, window in zip(("dataWindow", "displayWindow"), windows, strict=True):
        if window is not None and (window[2] < window[0] or window[3] < window[1]):
            found.append(f"{name} is empty")
    return found
