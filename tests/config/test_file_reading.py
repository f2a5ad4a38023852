"""What the file rules of a config make of a path."""

from __future__ import annotations

import copy
import os

import PyOpenColorIO as ocio
import pytest
from tests.config.builtins import BUILTINS, OLDEST, builtin

from primecoat.config.file_reading import PATH_SEARCH, read_path

ACES_2 = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"

MOVIE, DISPLAY, ACES = "Rec.1886 Rec.709 - Display", "sRGB - Display", "ACES2065-1"

HAND = {
    "sky.exr": (ACES, "EXR"),
    "SKY.EXR": (ACES, "EXR"),
    "kiln.mov": (MOVIE, "Movies"),
    "kiln.MP4": (MOVIE, "Movies"),
    "sky.hdr": (DISPLAY, "Default"),
    "glaze.tx": (DISPLAY, "Default"),
    "bowl_normal.png": (DISPLAY, "Default"),
    "bowl_color_srgb_rec709_scene.png": (DISPLAY, "Default"),
    "caraway-seeds.jpg": (DISPLAY, "Default"),
    "/shop/raw/beauty.png": (DISPLAY, "Default"),
}
"""Read off the text of OpenColorIO's own CG and Studio configs for ACES 2, version 2.5 and 2.6:
rules EXR, Movies, Default. Those for ACES 1.3 have the default rule alone: ACES2065-1."""


def with_rules(rules: ocio.FileRules, base: str = ACES_2) -> ocio.Config:
    config = copy.deepcopy(builtin(base))
    config.setFileRules(rules)
    return config


def path_search() -> ocio.Config:
    rules = ocio.FileRules()
    rules.insertPathSearchRule(0)
    rules.setDefaultRuleColorSpace("sRGB - Texture")
    return with_rules(rules)


def test_there_are_configs_of_both_kinds():
    assert sum("aces-v1.3" in name for name in BUILTINS) == 6
    assert sum("aces-v2" in name for name in BUILTINS) == 4


@pytest.mark.parametrize("name", BUILTINS)
@pytest.mark.parametrize("path", HAND)
def test_built_in_rules(name, path):
    found = read_path(builtin(name), path)
    space, rule = HAND[path] if "aces-v2" in name else (ACES, "Default")
    assert (found.space, found.rule_name) == (space, rule)
    assert found.only_default == (rule == "Default")
    assert not found.word


@pytest.mark.parametrize(
    ("path", "space", "word", "in_folder"),
    [
        ("strawberry_jam.png", "Raw", "raw", False),
        ("textures/STRAWBERRY.png", "Raw", "RAW", False),
        ("drawings/bowl.png", "Raw", "raw", True),
        (r"D:\shop\raw\bowl.png", "Raw", "raw", True),
        ("surfaces/bowl.png", ACES, "aces", True),
        ("surfaces/strawberry.png", "Raw", "raw", False),  # the rightmost wins
        ("straw/bowl_acescg.exr", "ACEScg", "acescg", False),  # the longest wins: not ``aces``
    ],
)
def test_path_search_looks_inside_words_and_at_folders(path, space, word, in_folder):
    found = read_path(path_search(), path)
    assert (found.space, found.word, found.in_folder) == (space, word, in_folder)
    assert (found.rule_name, found.rule, found.only_default) == (PATH_SEARCH, 0, False)
    assert found.word in found.why


def test_path_search_that_finds_nothing_leaves_it_to_the_default_rule():
    found = read_path(path_search(), "textures/bowl_color.png")
    assert (found.space, found.rule, found.only_default) == ("sRGB - Texture", 1, True)
    assert found.why == "no rule but the default one knows it"


def test_globs_and_regular_expressions():
    rules = ocio.FileRules()
    rules.insertRule(0, "wall maps", "scene_linear", "*wall*", "t*f")
    rules.insertRule(1, "tokens", "Raw", r".*_data\.(png|exr)")
    rules.setDefaultRuleColorSpace("sRGB - Texture")
    config = with_rules(rules)
    wall = read_path(config, "shop/wall_color.tif")
    assert (wall.rule_name, wall.pattern, wall.space) == ("wall maps", "*wall*.t*f", "scene_linear")
    token = read_path(config, "shop/bowl_data.exr")
    assert (token.rule, token.pattern, token.space) == (1, r".*_data\.(png|exr)", "Raw")
    assert token.why == r"the rule tokens (.*_data\.(png|exr)) fired"
    assert read_path(config, "shop/bowl_database.exr").only_default


def test_a_config_of_version_1_hunts_in_the_path():
    text = """
ocio_profile_version: 1
roles: {default: lin, scene_linear: lin}
displays: {screen: [!<View> {name: plain, colorspace: lin}]}
colorspaces:
  - !<ColorSpace> {name: lin}
  - !<ColorSpace> {name: raw, isdata: true}
"""
    config = ocio.Config.CreateFromStream(text)
    assert read_path(config, "strawberry.png").space == "raw"
    assert read_path(config, "bowl.png").space == "default"


def test_a_name_that_is_no_utf_8():
    path = os.fsdecode(b"kiln\xff.exr")
    assert read_path(builtin(ACES_2), path).rule_name == "EXR"


def test_file_rules_alone_are_asked():
    """``parseColorSpaceFromString`` finds Raw in such names; it is not what reads files."""
    config = builtin(OLDEST)
    assert config.parseColorSpaceFromString("caraway-seeds.jpg") == "Raw"
    assert read_path(config, "caraway-seeds.jpg").space == ACES
