"""The rules for tokens: they read a name exactly as Primecoat does."""

from __future__ import annotations

import PyOpenColorIO as ocio
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from primecoat.colour.ids import NAMES, READINGS
from primecoat.config.token_rules import token_rules, tokens_by_reading
from primecoat.reading.names import TOKENS, split_name

RULES = token_rules()
FOLDERS = (
    "",
    "/",
    "tea/",
    "/jobs/raw/",
    "x_data.d/",
    "c:\\tea_raw.1001\\",
    "\\\\server\\share x\\srgb_texture\\",
    "thé/茶_acescg.png/",
)


@pytest.fixture(scope="module")
def config() -> ocio.Config:
    """A config that has the rules and nothing else; all spaces are one, the rule tells."""
    config = ocio.Config.CreateRaw()
    rules = ocio.FileRules()
    for position, rule in enumerate(RULES):
        rules.insertRule(position, rule.name, "raw", rule.regex)
    config.setFileRules(rules)
    return config


def reading_of(config: ocio.Config, path: str) -> str | None:
    """Return the reading of the rule that fires, None for the default rule."""
    fired = config.getColorSpaceFromFilepath(path)[1]
    return RULES[fired].reading if fired < len(RULES) else None


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        ("bowl_srgb_rec709_scene.png", "srgb_rec709_scene"),
        ("bowl_ACEScg.1001.exr", "lin_ap1_scene"),
        ("bowl.acescg.1001.0012.exr", "lin_ap1_scene"),
        ("bowl_data.<UDIM>.png", "data"),
        ("bowl_data.<uvTile>.png", "data"),
        ("bowl_data_u1_v12.png", "data"),
        ("bowl_data.####.exr", "data"),
        ("bowl_data.%04d.exr", "data"),
        ("bowl_data", "data"),
        ("bowl data_1001", "data"),
        ("_data.png", "data"),
        ("bowl_data.a b", "data"),
        ("tasse à thé-RAW.tx", "data"),
        ("a_data.b_raw", "data"),
        ("jug_st2084_p3d65_display.exr", "pq_p3d65_display"),  # ends in another token
        ("jug_p3d65_display.exr", "g26_p3d65_display"),
        ("st2084_p3d65_display.exr", "g26_p3d65_display"),  # a stem, then the shorter token
        ("bowl_raw_acescg.exr", "lin_ap1_scene"),
        ("data.png", None),
        ("bowl.data", None),
        ("bowl.foo_data", None),
        ("bowldata.png", None),
        ("bowl_data_v001.png", None),
        ("bowl_data.12.png", None),
        ("bowl_data.12345678.png", None),
        ("bowl_data.12d4.png", None),
        ("bowl_data.%0xd.png", None),
        ("bowl_data_u1.png", None),
        ("bowl_data.<tile>.png", None),
        ("brand_identity.png", None),
        ("strawberry.png", None),
        ("caraway-seeds.jpg", None),
    ],
)
def test_known_names(config: ocio.Config, name: str, reading: str | None):
    """A whole token at the end of the file's own name counts, in any folder; nothing else does."""
    assert split_name(name).token_reading == reading
    for folder in FOLDERS:
        assert reading_of(config, folder + name) == reading


@pytest.mark.parametrize("token", TOKENS)
@pytest.mark.parametrize("delimiter", list("._- "))
def test_every_token(config: ocio.Config, token: str, delimiter: str):
    """Every token is found after every delimiter, in mixed case, before a tile and alone."""
    for tail in (".png", ".1001.png", "_u1_v1.exr", ".1001"):
        assert reading_of(config, f"tea/bowl{delimiter}{token.title()}{tail}") == NAMES[token]


PIECES = (
    "cup|color|raw|Data|lin|srgb|srgb_texture|lin_rec709|LIN_AP1_scene|st2084_|p3d65_display"
    "|aces2065_1|1001|0|12|<UDIM>|<uvtile>|u1_v2|#|####|%04d|%0|d|.|_|-| |png|é|茶|\u0660\u0661"
)
FILES = st.text(
    st.characters(exclude_characters="/\\\n\r\u2028\u2029\0", exclude_categories=["Cs"]),
    min_size=1,
    max_size=30,
) | st.lists(st.sampled_from(PIECES.split("|")), min_size=1, max_size=9).map("".join)


@settings(deadline=None, max_examples=400)
@given(st.sampled_from(FOLDERS), FILES)
@example("", "cup_data.\u0661\u0660\u0660\u0661.png")  # Arabic digits are no tile
def test_any_name(config: ocio.Config, folder: str, name: str):
    """Whatever the name, the rules read it as its token says."""
    assert reading_of(config, folder + name) == split_name(name).token_reading


def test_one_rule_a_reading():
    """Every reading that can be named has one rule, and every token belongs to one."""
    assert sorted(rule.reading for rule in RULES) == sorted(READINGS)
    assert sorted(t for tokens in tokens_by_reading().values() for t in tokens) == sorted(TOKENS)


def test_only_what_every_regex_library_knows():
    """No look-behind, no flags, no named groups, no classes: three C++ libraries read these."""
    for rule in RULES:
        for part in ("(?<", "(?i", "(?P", "[", "\\d", "\\w", "\\s", "\\b"):
            assert part not in rule.regex
