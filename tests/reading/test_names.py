"""What a file's own name says: parts, tokens, words, look-alikes."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from primecoat.colour.ids import NAMES, READINGS
from primecoat.reading.names import look_alikes, split_name, tagged_name, words_of

PIECES = (
    "cup|color|raw|data|lin|srgb|srgb_texture|lin_rec709|lin_ap1_scene|srgb_rec709_scene|1001|0001"
    "|1920|<UDIM>|<UVTILE>|u1_v2|####|%04d|.|_|-| |\n|png|exr|é"
)
NAMES_OF_FILES = st.text(max_size=30) | st.lists(
    st.sampled_from(PIECES.split("|")), max_size=9
).map("".join)


@pytest.mark.parametrize(
    ("name", "stem", "token", "tail", "ending"),
    [
        ("bowl_color.png", "bowl_color", "", "", ".png"),
        ("bowl_srgb_rec709_scene.png", "bowl", "_srgb_rec709_scene", "", ".png"),
        ("bowl.acescg.1001.exr", "bowl", ".acescg", ".1001", ".exr"),
        ("bowl-raw_0012.png", "bowl", "-raw", "_0012", ".png"),
        ("bowl Raw.png", "bowl", " Raw", "", ".png"),
        ("bowl_data.<UDIM>.png", "bowl", "_data", ".<UDIM>", ".png"),
        ("bowl_data.<UVTILE>.png", "bowl", "_data", ".<UVTILE>", ".png"),
        ("bowl_data_u1_v2.png", "bowl", "_data", "_u1_v2", ".png"),
        ("bowl_data.####.exr", "bowl", "_data", ".####", ".exr"),
        ("bowl_data.%04d.exr", "bowl", "_data", ".%04d", ".exr"),
        ("bowl_data.1001.0012.exr", "bowl", "_data", ".1001.0012", ".exr"),
        ("bowl_LIN_REC709.exr", "bowl", "_LIN_REC709", "", ".exr"),
        ("bowl_lin_rec709_srgb.exr", "bowl", "_lin_rec709_srgb", "", ".exr"),  # the longest one
        ("bowl_data_color.png", "bowl_data_color", "", "", ".png"),  # not at the end
        ("bowldata.png", "bowldata", "", "", ".png"),  # not delimited
        ("data.png", "data", "", "", ".png"),  # the whole name
        ("brand_identity.png", "brand_identity", "", "", ".png"),  # a logo
        ("strawberry.png", "strawberry", "", "", ".png"),
        ("caraway-seeds.jpg", "caraway-seeds", "", "", ".jpg"),
        ("bowl", "bowl", "", "", ""),
        ("bowl_data", "bowl", "_data", "", ""),
        ("bowl_data.tar.png", "bowl_data.tar", "", "", ".png"),
        ("", "", "", "", ""),
    ],
)
def test_parts(name: str, stem: str, token: str, tail: str, ending: str):
    """A name falls into stem, token, tile or frame, and ending; only a whole token at the end is
    one.
    """
    parts = split_name(name)
    assert (parts.stem, parts.token, parts.tail, parts.ending) == (stem, token, tail, ending)


@settings(deadline=None)
@given(NAMES_OF_FILES)
@example("cup_1001\n")
@example("tex\n.png")
def test_parts_join_to_the_name(name: str):
    """Whatever the name, its parts in order are the name again."""
    parts = split_name(name)
    assert parts.stem + parts.token + parts.tail + parts.ending == name


@settings(deadline=None)
@given(NAMES_OF_FILES, st.sampled_from(READINGS), st.sampled_from(READINGS))
def test_tagging(name: str, reading: str, other: str):
    """A tagged name says its reading, tagging again changes nothing, and no second token comes."""
    tagged = tagged_name(name, reading)
    parts = split_name(tagged)
    assert parts.token_reading == reading
    assert parts.token_is_id
    assert tagged_name(tagged, reading) == tagged
    assert tagged_name(tagged_name(name, other), reading) == tagged
    assert (parts.tail, parts.ending) == (split_name(name).tail, split_name(name).ending)


@pytest.mark.parametrize(
    ("name", "reading", "tagged"),
    [
        ("a.png", "data", "a_data.png"),
        ("a.png", "srgb_rec709_scene", "a_srgb_rec709_scene.png"),
        ("a_raw.png", "data", "a_data.png"),
        ("a.acescg.1001.exr", "data", "a.data.1001.exr"),
        ("a_color.<UDIM>.png", "srgb_rec709_scene", "a_color_srgb_rec709_scene.<UDIM>.png"),
        ("a_u1_v1.png", "data", "a_data_u1_v1.png"),
        ("raw_wood.png", "data", "raw_wood_data.png"),
    ],
)
def test_tagged_names(name: str, reading: str, tagged: str):
    """The token goes before the tile or frame; an old token gives way, with its delimiter kept."""
    assert tagged_name(name, reading) == tagged


def test_another_ending():
    """The ending can change with the tag, for a picture that is converted."""
    assert tagged_name("a_raw.png", "lin_ap1_scene", ".exr") == "a_lin_ap1_scene.exr"


@pytest.mark.parametrize("name", sorted(set(NAMES) - {"identity"}))
@pytest.mark.parametrize("delimiter", list("._- "))
def test_every_name_of_a_reading_is_a_token(name: str, delimiter: str):
    """Every name of the vocabulary counts as a token at the end of a stem, in any case."""
    for written in (name, name.upper()):
        assert split_name(f"bowl{delimiter}{written}.png").token_reading == NAMES[name]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("bowl_baseColor.png", ("bowl", "base", "color")),
        ("Bowl-ROUGHNESS.1001.png", ("bowl", "roughness")),
        ("bowlAO.png", ("bowl", "ao")),
        ("bowl.normal map.png", ("bowl", "normal", "map")),
        ("colorado.png", ("colorado",)),
        ("__.png", ()),
    ],
)
def test_words(name: str, words: tuple[str, ...]):
    """Words are parted by delimiters and by a change to capitals; a part of a word is none."""
    assert words_of(name) == words


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("strawberry_jam.png", ("raw",)),
        ("drawings.png", ("raw",)),
        ("surfaces_srgbish.png", ("aces", "srgb")),
        ("wood_raw.png", ()),
        ("raw_wood.png", ()),
        ("cup.png", ()),
        ("cup.raw", ()),
    ],
)
def test_look_alikes(name: str, found: tuple[str, ...]):
    """A hunted word counts as look-alike only inside a longer word of the stem."""
    assert look_alikes(name, ("raw", "aces", "srgb")) == found
