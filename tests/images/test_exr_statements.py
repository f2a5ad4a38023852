"""10 EXR files by an independent writer, each read in the order of the Color Interop Forum."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import pytest

from primecoat.images.read_header import read_header

AP1_XY = (0.713, 0.293, 0.165, 0.830, 0.128, 0.044, 0.32168, 0.33767)
REC709_XY = (0.64, 0.33, 0.30, 0.60, 0.15, 0.06, 0.3127, 0.3290)
"""Source: ASWF Color Interop Forum, *Color Space Encodings for Texture Assets* v1.1.0."""

FLAG = ("ACES container flag", "lin_ap0_scene", True)
CHROMA_AP1 = ("chromaticities", "lin_ap1_scene", False)

EXR: dict[str, tuple[dict[str, object], list[tuple[str, str | None, bool]]]] = {
    "nothing": ({}, []),
    "flag": ({"acesImageContainerFlag": 1}, [FLAG]),
    "ID": ({"colorInteropID": "lin_ap1_scene"}, [("colorInteropID", "lin_ap1_scene", True)]),
    "data": ({"colorInteropID": "data"}, [("colorInteropID", "data", True)]),
    "unknown, chromaticities": (
        {"colorInteropID": "unknown", "chromaticities": AP1_XY},
        [("colorInteropID", None, False), CHROMA_AP1],
    ),
    "chromaticities": ({"chromaticities": AP1_XY}, [CHROMA_AP1]),
    "chromaticities of no known space": (
        {"chromaticities": (*AP1_XY[:6], 0.3127, 0.3290)},
        [("chromaticities", None, False)],
    ),
    "flag against ID": (
        {"acesImageContainerFlag": 1, "colorInteropID": "lin_ap1_scene"},
        [FLAG, ("colorInteropID", "lin_ap1_scene", True)],
    ),
    "ID against chromaticities": (
        {"colorInteropID": "studio:lin_rec709_scene", "chromaticities": AP1_XY},
        [("colorInteropID", "lin_rec709_scene", True), CHROMA_AP1],
    ),
}
"""Attributes, and the statements in the order of ASWF Color Interop Forum, *Identifying the Color
Space of OpenEXR Files* v1.0.0."""


@pytest.mark.parametrize("name", EXR)
def test_exr_reading_order(name: str, tmp_path: Path):
    attributes, expected = EXR[name]
    path = tmp_path / "picture.exr"
    pixels = {"RGB": np.ones((4, 4, 3), dtype=np.float16)}
    OpenEXR.File({"compression": OpenEXR.ZIP_COMPRESSION, **attributes}, pixels).write(str(path))
    found = [(s.kind, s.reading, s.firm) for s in read_header(path).statements]
    assert found == expected


def test_exr_parts_that_differ(tmp_path: Path):
    path = tmp_path / "parts.exr"
    plane = np.ones((4, 4), dtype=np.float16)
    rgb = dict.fromkeys("RGB", plane)
    parts = [
        OpenEXR.Part({"colorInteropID": "lin_ap1_scene"}, rgb, name="beauty"),
        OpenEXR.Part({"colorInteropID": "data"}, {"Z": plane.astype(np.float32)}, name="depth"),
    ]
    OpenEXR.File(parts).write(str(path))
    header = read_header(path)
    assert header.parts == 2
    assert header.statements[0].reading == "lin_ap1_scene"
    (other,) = header.statements[1:]
    assert (other.reading, other.firm) == (None, False)
    assert "depth" in other.words
    assert "data" in other.words


@pytest.mark.parametrize("shift", [0.0009, 0.0011])
def test_exr_chromaticities_match_within_a_thousandth(shift: float, tmp_path: Path):
    path = tmp_path / "picture.exr"
    near = tuple(v + shift for v in REC709_XY)
    pixels = {"RGB": np.ones((4, 4, 3), dtype=np.float16)}
    OpenEXR.File({"chromaticities": near}, pixels).write(str(path))
    reading = read_header(path).statements[0].reading
    assert reading == ("lin_rec709_scene" if shift < 0.001 else None)
