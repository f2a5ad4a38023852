"""What house conventions say about pictures, and what they never can."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.reading.worlds import images_of, sheet
from tests.scenes import builders as b

from primecoat.house import House
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, FAMILIES, LINEAR, RIVALS, Evidence
from primecoat.reading.policy import policy
from primecoat.reading.set_aside import set_aside
from primecoat.reading.weigh import weigh

HOUSE = House(
    file=Path("/tea/primecoat.toml"),
    tokens=(("texcol", "srgb_rec709_scene"), ("lincol", "lin_rec709_scene")),
    slots=(("*_rgh", "roughness"), ("*_kiln*", "emissive")),
)


def read(
    folder: Path, name: str, house: House = HOUSE, without: tuple[str, ...] = ("pixels", "header")
):
    (folder / name).write_bytes(b.png(3, "uint8"))
    return images_of(folder, without=without, house=house)[name]


def test_a_token_makes_likely_and_no_more(tmp_path: Path):
    image = read(tmp_path, "bowl_TEXCOL.png")
    assert (image.reading, image.standing) == ("srgb_rec709_scene", "likely")
    [said] = image.evidence
    assert said.words == "By the house's conventions, 'TEXCOL' at the end of a name says so."
    assert str(said.location) == "primecoat.toml#bowl_TEXCOL.png"


def test_a_token_denies_what_is_only_frequent(tmp_path: Path):
    """Most 8-bit pictures are sRGB-encoded; this one's name says otherwise."""
    image = read(tmp_path, "bowl_lincol.1001.png", without=())
    assert (image.reading, image.standing) == ("lin_rec709_scene", "likely")


def test_token_and_pattern_of_one_name_count_once(tmp_path: Path):
    """A name with both, and a loose word beside, is one statement: it settles nothing."""
    image = read(tmp_path, "oven_emissive_kiln_texcol.png")
    assert (image.standing, image.content) == ("likely", "emissive")
    counted = [e for e in image.evidence if not e.set_aside]
    assert [(e.witness, e.claim) for e in counted] == [("house", "srgb_rec709_scene")]


def test_a_pattern_settles_data_only_together_with_another_witness(tmp_path: Path):
    assert read(tmp_path, "bowl_rgh.png").standing == "likely"
    scene = sheet(tmp_path, "bowl_rgh.png,x,roughness,,,")
    image = images_of(scene, without=["pixels"], house=HOUSE)["bowl_rgh.png"]
    assert (image.reading, image.standing) == ("data", "settled")


@pytest.mark.parametrize(
    ("row", "reading"),
    [
        ("bowl_rgh.png,x,base_color,,srgb_texture,", "srgb_rec709_scene"),
        ("bowl_lincol.png,x,base_color,,srgb_texture,", "srgb_rec709_scene"),
        ("bowl_texcol.png,x,roughness,,,", "data"),
        ("bowl_rgh_acescg.png,x,base_color,,,", "lin_ap1_scene"),
    ],
)
def test_what_is_settled_otherwise_stays_so(row: str, reading: str, tmp_path: Path):
    """A slot, a declaration and an ID in the name come before the house, which is still shown."""
    name = row.partition(",")[0]
    (tmp_path / name).write_bytes(b.png(3, "uint8"))
    image = images_of(sheet(tmp_path, row), without=["pixels"], house=HOUSE)[name]
    assert (image.reading, image.standing) == (reading, "settled")
    [said] = [e for e in image.evidence if e.witness == "house"]
    assert said.set_aside


CLAIMS = st.sampled_from(["data", COLOUR, LINEAR, *RIVALS])


@st.composite
def others(draw):
    """Evidence of the other witnesses, each once, as they give it."""
    told = []
    for witness in draw(st.sets(st.sampled_from(["slot", "declaration", "header", "pixels"]))):
        claim = draw(CLAIMS if witness != "slot" else st.sampled_from(["data", COLOUR]))
        told.append(
            Evidence(
                witness=witness,
                claim=claim,
                strength=draw(st.sampled_from([2.0, 3.0, 6.2, 9.2])),
                words="",
                location=Location(""),
                among_colours=witness == "header" and claim != "data",
            )
        )
    return told


@given(others=others(), claim=st.sampled_from(["data", COLOUR, *RIVALS]))
def test_the_house_never_unsettles_or_turns_what_is_settled(others, claim):
    """Whatever the others settle beyond doubt stays as it is, whatever the house says."""
    word = Evidence(
        witness="house",
        claim=claim,
        strength=policy().weight("house", "convention"),
        words="",
        location=Location(""),
    )
    before = weigh(set_aside(others, None), policy())
    after = weigh(set_aside([*others, word], None), policy())
    strong = policy().weight("standing", "strong")
    firm = any(
        e.strength >= strong and before.reading in FAMILIES.get(e.claim, (e.claim,)) for e in others
    )
    if before.standing == "settled" and firm:
        assert after.reading == before.reading
    assert after.standing != "conflicting" or before.standing == "conflicting"


def test_alone_it_never_settles():
    """The strength lies below a strong statement, and alone below what settles either question."""
    strength = policy().weight("house", "convention")
    assert strength < policy().weight("standing", "strong")
    for claim in ("data", *RIVALS):
        word = Evidence(
            witness="house", claim=claim, strength=strength, words="", location=Location("")
        )
        assert weigh(set_aside([word], None), policy()).standing == "likely"
