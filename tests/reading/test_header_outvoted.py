"""What an OpenEXR file firmly states of itself is never outvoted by softer words in silence.

Source of a statement's rank: ASWF Color Interop Forum, *Identifying the Color Space of OpenEXR
Files* v1.0.0: ``colorInteropID`` before any hint, and ``data`` is an ID of its own.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.reading.worlds import images_of, sheet
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.colour.ids import DATA
from primecoat.images.oiio import write_pixels
from primecoat.location import Location
from primecoat.reading.evidence import Evidence
from primecoat.reading.policy import policy
from primecoat.reading.weigh import weigh

STATED = ("lin_ap1_scene", "lin_rec709_scene", "kiln:glow")


def hues(path: Path, stated: str = "") -> None:
    """Write flat patches of many hues, as maps of material numbers have, and what they state."""
    patches = np.random.default_rng(4).uniform(0.0, 1.0, (8, 8, 3)).astype(np.float32)
    attributes = {"colorInteropID": stated} if stated else None
    write_pixels(path, np.kron(patches, np.ones((8, 8, 1), np.float32)), attributes=attributes)


def normals(path: Path, stated: str = "") -> None:
    """Write a sound normal map, as floats from 0 to 1, and what it states."""
    pixels = b.normal_pixels().astype(np.float32) / 255.0
    write_pixels(path, pixels, attributes={"colorInteropID": stated} if stated else None)


@pytest.mark.parametrize("stated", STATED)
@pytest.mark.parametrize(("write", "name"), [(hues, "lut_id.exr"), (normals, "glow.exr")])
def test_a_firm_statement_against_name_and_pixels_is_a_question(tmp_path, write, name, stated):
    """Without the statement it is data; with it the person is asked, and told by which code."""
    write(tmp_path / name)
    assert images_of(tmp_path)[name].reading == DATA
    write(tmp_path / name, stated)
    found = workflow.survey(tmp_path, workers=1)
    (image,) = found.readings.images
    assert (image.reading, image.standing) == ("unknown", "conflicting")
    (told,) = [f for f in found.findings if f.code == "PC107"]
    assert "colorInteropID" in told.message
    assert "pixels" in told.message.lower()
    workflow.decide(found, name, DATA)
    assert images_of(tmp_path)[name].standing == "overruled"


def test_a_word_alone_does_not_even_make_it_a_question(tmp_path):
    """Two to one in the name against ten thousand to one in the header."""
    write_pixels(
        tmp_path / "glaze_id.exr",
        b.colour_pixels().astype(np.float32) / 255.0,
        attributes={"colorInteropID": "lin_ap1_scene"},
    )
    assert images_of(tmp_path)["glaze_id.exr"].reading == "lin_ap1_scene"


def test_a_data_slot_still_outranks_the_header(tmp_path):
    hues(tmp_path / "lut_id.exr", "lin_ap1_scene")
    image = images_of(sheet(tmp_path, "lut_id.exr,x,mask,,,"))["lut_id.exr"]
    assert (image.reading, image.standing) == (DATA, "settled")


def test_what_writers_stamp_on_everything_does_not_count(tmp_path):
    """An sRGB chunk in a normal map is no statement that it is colour."""
    chunk = b.chunk(b"sRGB", b"\0")
    (tmp_path / "a_normal.png").write_bytes(b.png_of(b.normal_pixels(), chunk))
    image = images_of(tmp_path)["a_normal.png"]
    assert (image.reading, image.standing) == (DATA, "settled")


SOFT = st.builds(
    Evidence,
    witness=st.sampled_from(["name", "pixels", "siblings"]),
    claim=st.just(DATA),
    strength=st.floats(0.1, 6.9),
    words=st.just("it looks so"),
    location=st.just(Location("a.exr")),
)


@given(st.lists(SOFT, max_size=6))
def test_no_sum_of_softer_words_makes_it_data(soft):
    """However many there are: the header's reading, or a question."""
    firm = Evidence(
        witness="header",
        claim="lin_ap1_scene",
        strength=policy().weight("header", "firm"),
        words="it says so",
        location=Location("a.exr"),
    )
    assert weigh([firm, *soft], policy()).reading in ("lin_ap1_scene", "unknown")
