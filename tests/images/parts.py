"""Files of several parts, written by the OpenEXR package and by tifffile."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import OpenEXR

TYPES = {"half": np.float16, "float": np.float32, "uint": np.uint32}

AP1_XY = (0.713, 0.293, 0.165, 0.830, 0.128, 0.044, 0.32168, 0.33767)
"""Chromaticities of AP1 with the ACES white. Source: ACES S-2014-004 (ACEScg)."""


def planes(channels: str) -> dict[str, Any]:
    """Return a plane for each of ``R:half Z:float`` (half where no type is named)."""
    rows = np.linspace(0.1, 0.9, 64, dtype=np.float32).reshape(8, 8)
    found = {}
    for at, word in enumerate(channels.split()):
        name, _, kind = word.partition(":")
        made = np.full((8, 8), 7 + at) if kind == "uint" else rows * (1 + at)
        found[name] = made.astype(TYPES[kind or "half"])
    return found


def one_part(path: Path, channels: str, **attributes: Any) -> Path:
    """Write a file without parts."""
    OpenEXR.File(_head(attributes), planes(channels)).write(str(path))
    return path


def several(path: Path, *parts: tuple[str, str, Mapping[str, Any]]) -> Path:
    """Write parts of a name, channels and attributes each."""
    made = [
        OpenEXR.Part(_head(attributes), planes(channels), name=name)
        for name, channels, attributes in parts
    ]
    OpenEXR.File(made).write(str(path))
    return path


def _head(attributes: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "compression": OpenEXR.ZIP_COMPRESSION,
        "type": OpenEXR.scanlineimage,
        **attributes,
    }
