"""What the header's witness says: the statement that rules, the others beside it, doubts, gaps."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
import tifffile
from PIL import Image
from tests.images import profiles as icc
from tests.images import written as w
from tests.images.test_exr_statements import EXR, write_exr
from tests.reading.worlds import images_of, sheet

from primecoat.reading.evidence import Evidence
from primecoat.reading.judgement import ImageReading
from primecoat.reading.policy import policy


def in_slot(folder: Path, name: str, slot: str = "base_color") -> ImageReading:
    return images_of(sheet(folder, f"{name},bowl,{slot},,,"))[name]


def header_evidence(image: ImageReading) -> list[Evidence]:
    return [e for e in image.evidence if e.witness == "header"]


OUTCOMES = {
    "nothing": ("unknown", "unknown", []),
    "flag": ("lin_ap0_scene", "settled", []),
    "ID": ("lin_ap1_scene", "settled", []),
    "data": ("unknown", "conflicting", []),  # with the colour slot it is put in
    "unknown, chromaticities": ("unknown", "unknown", []),
    "chromaticities": ("unknown", "unknown", []),
    "chromaticities of no known space": ("unknown", "unknown", []),
    "flag against ID": ("lin_ap0_scene", "likely", ["lin_ap1_scene"]),
    "ID against chromaticities": ("lin_rec709_scene", "likely", ["lin_ap1_scene"]),
    "parts that differ": ("lin_ap1_scene", "likely", ["lin_rec709_scene"]),
}
"""Reading and standing in a colour slot, and what contradicts it. The outcome is that of ASWF Color
Interop Forum, *Identifying the Color Space of OpenEXR Files* v1.0.0; where statements contradict
each other it is put as a question, never settled."""


def test_every_file_of_the_exr_matrix_has_an_outcome():
    assert set(OUTCOMES) == set(EXR)


@pytest.mark.parametrize("name", OUTCOMES)
def test_exr_in_a_colour_slot(name: str, tmp_path: Path):
    reading, standing, contradictions = OUTCOMES[name]
    write_exr(tmp_path / "bowl.exr", EXR[name][0])
    image = in_slot(tmp_path, "bowl.exr")
    assert (image.reading, image.standing) == (reading, standing)
    doubts = [e.claim for e in header_evidence(image) if e.set_aside and e.strength > 0]
    assert doubts == contradictions


def test_chromaticities_are_a_hint_that_leads_the_candidates(tmp_path: Path):
    write_exr(tmp_path / "bowl.exr", EXR["chromaticities"][0])
    assert in_slot(tmp_path, "bowl.exr").judgement.candidates[0].reading == "lin_ap1_scene"


def test_curve_beside_its_own_primaries_is_no_contradiction(tmp_path: Path):
    rec709 = (0.64, 0.33, 0.30, 0.60, 0.15, 0.06, 0.3127, 0.3290)
    write_exr(
        tmp_path / "bowl.exr", [{"colorInteropID": "srgb_rec709_scene", "chromaticities": rec709}]
    )
    image = in_slot(tmp_path, "bowl.exr")
    assert (image.reading, image.standing) == ("srgb_rec709_scene", "settled")


def test_gamma_45455_is_a_question(tmp_path: Path):
    (tmp_path / "bowl.png").write_bytes(w.png(w.gama(45455)))
    image = in_slot(tmp_path, "bowl.png")
    assert (image.reading, image.standing) == ("srgb_rec709_scene", "likely")
    (said,) = header_evidence(image)
    assert said.claim == "srgb_or_g22_rec709"
    assert "ask" in said.words
    assert [c.reading for c in image.judgement.candidates[:2]] == [
        "srgb_rec709_scene",
        "g22_rec709_scene",
    ]


def cmyk_jpeg(profile: bytes = b"") -> bytes:
    out = io.BytesIO()
    Image.fromarray(w.pixels(4), "CMYK").save(out, "JPEG", icc_profile=profile or None)
    return out.getvalue()


def lab_tiff() -> bytes:
    out = io.BytesIO()
    tifffile.imwrite(out, w.pixels(), photometric="cielab")
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "word"),
    [
        ("ink.jpg", cmyk_jpeg(), "ink"),
        ("ink.jpg", cmyk_jpeg(icc.table_profile(b"CMYK")), "CMYK profile"),
        ("lab.tif", lab_tiff(), "CIELab"),
        ("wide.png", w.png(w.iccp(icc.rgb_profile("prophoto", icc.curv(461)))), "no known space"),
        ("lut.png", w.png(w.iccp(icc.table_profile(b"RGB "))), "look-up tables"),
        ("narrow.png", w.png(w.chunk(b"cICP", b"\x01\x01\0\0")), "narrow range"),
    ],
)
def test_a_space_without_a_name_is_unknown_and_not_the_customary_one(
    name: str, data: bytes, word: str, tmp_path: Path
):
    (tmp_path / name).write_bytes(data)
    image = in_slot(tmp_path, name)
    assert (image.reading, image.standing) == ("unknown", "unknown")
    assert image.judgement.candidates == ()
    assert word in header_evidence(image)[0].words
    assert in_slot(tmp_path, name, "roughness").reading == "data"


def test_what_comes_after_is_shown_without_weight(tmp_path: Path):
    data = w.png(w.chunk(b"sRGB", b"\0"), w.chunk(b"cICP", b"\x0c\x0d\0\1"))
    (tmp_path / "bowl.png").write_bytes(data)
    image = in_slot(tmp_path, "bowl.png")
    assert (image.reading, image.standing) == ("srgb_p3d65_scene", "settled")
    told = [(e.claim, e.strength, e.set_aside) for e in header_evidence(image)]
    assert told == [
        ("srgb_p3d65_scene", policy().weight("header", "firm"), ""),
        ("srgb_rec709_scene", 0.0, "the cICP comes before it"),
    ]
