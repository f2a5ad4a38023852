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

ID_AP1 = ("colorInteropID", "lin_ap1_scene", True)
OTHER_PART = ("colorInteropID of a part", None, False)

EXR: dict[str, tuple[list[dict[str, object]], list[tuple[str, str | None, bool]]]] = {
    "nothing": ([{}], []),
    "flag": ([{"acesImageContainerFlag": 1}], [FLAG]),
    "ID": ([{"colorInteropID": "lin_ap1_scene"}], [ID_AP1]),
    "data": ([{"colorInteropID": "data"}], [("colorInteropID", "data", True)]),
    "unknown, chromaticities": (
        [{"colorInteropID": "unknown", "chromaticities": AP1_XY}],
        [("colorInteropID", None, False), CHROMA_AP1],
    ),
    "chromaticities": ([{"chromaticities": AP1_XY}], [CHROMA_AP1]),
    "chromaticities of no known space": (
        [{"chromaticities": (*AP1_XY[:6], 0.3127, 0.3290)}],
        [("chromaticities", None, False)],
    ),
    "flag against ID": (
        [{"acesImageContainerFlag": 1, "colorInteropID": "lin_ap1_scene"}],
        [FLAG, ID_AP1],
    ),
    "ID against chromaticities": (
        [{"colorInteropID": "studio:lin_rec709_scene", "chromaticities": AP1_XY}],
        [("colorInteropID", "lin_rec709_scene", True), CHROMA_AP1],
    ),
    "parts that differ": (
        [
            {"colorInteropID": "lin_ap1_scene"},
            {"colorInteropID": "data"},
            {"colorInteropID": "lin_rec709_scene"},
            {},
        ],
        [ID_AP1, OTHER_PART, OTHER_PART, OTHER_PART],
    ),
}
"""Attributes of each part, and the statements in the order of ASWF Color Interop Forum,
*Identifying the Color Space of OpenEXR Files* v1.0.0."""


def write_exr(path: Path, parts: list[dict[str, object]]) -> None:
    """Write a file by the OpenEXR package, each part of channels R, G and B."""
    plane = np.ones((4, 4), dtype=np.float16)
    made = [
        OpenEXR.Part(
            {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage, **attributes},
            dict.fromkeys("RGB", plane),
            name=f"part{number}",
        )
        for number, attributes in enumerate(parts)
    ]
    OpenEXR.File(made).write(str(path))


def test_exr_matrix_has_10_files():
    assert len(EXR) == 10


@pytest.mark.parametrize("name", EXR)
def test_exr_reading_order(name: str, tmp_path: Path):
    parts, expected = EXR[name]
    path = tmp_path / "picture.exr"
    write_exr(path, parts)
    header = read_header(path)
    found = [(s.kind, s.reading, s.firm) for s in header.statements]
    assert found == expected
    assert header.parts == len(parts)
    assert len(header.part_headers) == (len(parts) if len(parts) > 1 else 0)


def test_exr_parts_are_named_with_what_they_state(tmp_path: Path):
    path = tmp_path / "parts.exr"
    write_exr(path, EXR["parts that differ"][0])
    header = read_header(path)
    words = [s.words for s in header.statements[1:]]
    assert "part1" in words[0]
    assert "data" in words[0]
    assert "lin_rec709_scene" in words[1]
    assert "no colorInteropID" in words[2]
    assert [[s.reading for s in part.statements] for part in header.part_headers] == [
        ["lin_ap1_scene"],
        ["data"],
        ["lin_rec709_scene"],
        [],
    ]


@pytest.mark.parametrize("shift", [0.0009, 0.0011])
def test_exr_chromaticities_match_within_a_thousandth(shift: float, tmp_path: Path):
    path = tmp_path / "picture.exr"
    near = tuple(v + shift for v in REC709_XY)
    pixels = {"RGB": np.ones((4, 4, 3), dtype=np.float16)}
    OpenEXR.File({"chromaticities": near}, pixels).write(str(path))
    reading = read_header(path).statements[0].reading
    assert reading == ("lin_rec709_scene" if shift < 0.001 else None)
