"""Every name of the built-in configs, and of other vocabularies, comes to one reading or none."""

from __future__ import annotations

import copy
import time
from pathlib import Path

import PyOpenColorIO as ocio
import pytest
from tests.config.builtins import (
    BUILTINS,
    NEWEST,
    OLDEST,
    builtin,
    every_name,
    library_says,
    renamed,
    without_roles,
)

from primecoat.colour.ids import READINGS, SPACES
from primecoat.colour.ocio import convert, space_in_config
from primecoat.config.identify import identify, identify_all, local_space

TEXTURE = "sRGB - Texture"


def changed(name: str, **setters: str | bool) -> ocio.Config:
    """Return the oldest built-in config with one colour space changed."""
    config = builtin(OLDEST)
    space = copy.deepcopy(config.getColorSpace(name))
    for setter, value in setters.items():
        getattr(space, setter)(value)
    config.removeColorSpace(name)
    config.addColorSpace(space)
    return config


def test_there_are_ten():
    assert len(BUILTINS) == 10
    assert {OLDEST, NEWEST} <= set(BUILTINS)


@pytest.mark.parametrize("name", BUILTINS)
def test_every_name_is_what_the_library_says(name: str):
    """Source: interop IDs and aliases of the newest config in OpenColorIO 2.6.0."""
    config = builtin(name)
    for space in every_name(config):
        found = identify(config, space)
        said = library_says(space)
        assert found.reading == (said if said in READINGS else None), found
        assert found.local_name == space
        assert not found.contradicts, found.words
        assert (found.by == "") == (found.reading is None) or found.interop_id == said


@pytest.mark.parametrize("name", BUILTINS)
def test_aliases_and_roles_are_their_space(name: str):
    config = builtin(name)
    for space in every_name(config):
        whole = identify(config, space)
        for alias in config.getColorSpace(space).getAliases():
            found = identify(config, alias)
            assert (found.local_name, found.reading) == (space, whole.reading)
    for role in config.getRoleNames():
        assert identify(config, role).local_name == config.getRoleColorSpace(role)


@pytest.mark.parametrize("name", BUILTINS)
def test_active_names_are_listed_and_led_back(name: str):
    config = builtin(name)
    found = identify_all(config)
    assert [one.name for one in found] == list(config.getColorSpaceNames())
    for one in found:
        if one.reading is not None:
            assert local_space(config, one.reading) == one.local_name


def test_camera_spaces_and_logs_are_specific_to_the_config():
    config = builtin(NEWEST)
    log = [s for s in every_name(config) if config.getColorSpace(s).getEncoding() == "log"]
    assert len(log) > 15
    for space in log:
        found = identify(config, space)
        assert (found.reading, found.by) == (None, "")
        assert found.interop_id == config.getColorSpace(space).getInteropID()


@pytest.mark.parametrize(
    ("name", "local", "reading"),
    [
        ("sRGB", TEXTURE, "srgb_rec709_scene"),
        ("lin_ap1_scene", "ACEScg", "lin_ap1_scene"),
        ("srgb_rec709_scene", TEXTURE, "srgb_rec709_scene"),
        ("lin_rec709", "Linear Rec.709 (sRGB)", "lin_rec709_scene"),
        ("gamma22", "Gamma 2.2 Rec.709 - Texture", "g22_rec709_scene"),
        ("rec709_display", "Gamma 2.4 Rec.709 - Texture", "g24_rec709_scene"),
        ("none", "Raw", "data"),
        ("data", "Raw", "data"),
    ],
)
def test_names_that_the_oldest_config_lacks(name: str, local: str, reading: str):
    config = builtin(OLDEST)
    found = identify(config, name)
    assert (found.local_name, found.reading) == (local, reading)
    assert found.by == "alias"
    assert not found.contradicts


@pytest.mark.parametrize("name", ["auto", "unknown", "", "moonlight", "g18_ap1"])
def test_names_that_are_no_space(name: str):
    found = identify(builtin(OLDEST), name)
    assert (found.local_name, found.reading, found.by) == (None, None, "")
    assert found.words


def test_reading_that_the_config_has_no_space_for():
    found = identify(builtin(OLDEST), "lin_adobergb")
    assert (found.local_name, found.reading) == (None, "lin_adobergb_scene")
    assert "no such space" in found.words


def test_named_transform_is_no_space():
    assert "named transform" in identify(builtin(OLDEST), "sRGB - Curve").words


def test_config_s_own_srgb_is_what_its_transform_is():
    """The trade calls several spaces sRGB; a config that has one means its own."""
    for space, reading in (
        ("sRGB - Display", "srgb_rec709_display"),
        ("Linear Rec.709 (sRGB)", "lin_rec709_scene"),
        (TEXTURE, "srgb_rec709_scene"),
    ):
        config = builtin(OLDEST)
        own = copy.deepcopy(config.getColorSpace(space))
        own.setName("sRGB")
        own.clearAliases()
        config.addColorSpace(own)
        found = identify(config, "sRGB")
        assert (found.local_name, found.reading, found.by) == ("sRGB", reading, "transform")


def test_wrong_interop_id_is_a_contradiction():
    config = changed(TEXTURE, setInteropID="lin_rec709_scene")
    found = identify(config, TEXTURE)
    assert (found.reading, found.by) == ("lin_rec709_scene", "interop ID")
    assert found.contradicts
    assert found.by_transform == "srgb_rec709_scene"
    assert "but its transform is that of srgb_rec709_scene" in found.words


@pytest.mark.parametrize(
    ("stated", "reading", "by"),
    [
        ("ocio:srgb_rec709_scene", "srgb_rec709_scene", "interop ID"),
        ("pottery:glaze_paint", "srgb_rec709_scene", "alias"),
        ("srgbe_p3d65_display", None, "interop ID"),
    ],
)
def test_interop_id_outside_the_vocabulary(stated: str, reading: str | None, by: str):
    found = identify(changed(TEXTURE, setInteropID=stated), TEXTURE)
    assert (found.reading, found.by, found.interop_id) == (reading, by, stated)
    assert not found.contradicts


def test_wrong_alias_is_a_contradiction():
    config = builtin(OLDEST)
    wrong = copy.deepcopy(config.getColorSpace("Gamma 2.2 Rec.709 - Texture"))
    config.removeColorSpace(TEXTURE)
    config.removeColorSpace("Gamma 2.2 Rec.709 - Texture")
    wrong.setName("srgb_tx")
    wrong.clearAliases()
    config.addColorSpace(wrong)
    found = identify(config, "srgb_texture")
    assert (found.local_name, found.reading) == ("srgb_tx", "srgb_rec709_scene")
    assert found.contradicts
    assert found.by_transform == "g22_rec709_scene"


def test_aliases_that_disagree_settle_nothing():
    """Where the names of one space stand for two, the transform decides."""
    config = builtin(OLDEST)
    config.removeColorSpace("Gamma 1.8 Rec.709 - Texture")
    both = copy.deepcopy(config.getColorSpace(TEXTURE))
    config.removeColorSpace(TEXTURE)
    both.addAlias("g18_rec709")
    config.addColorSpace(both)
    found = identify(config, TEXTURE)
    assert (found.reading, found.by) == ("srgb_rec709_scene", "transform")
    assert "g18_rec709_scene, srgb_rec709_scene" in found.words


def test_data_without_the_mark_and_colour_with_it():
    """Only ``isdata`` keeps OpenColorIO from converting; a name that says otherwise is wrong."""
    found = identify(changed("Raw", setIsData=False), "Raw")
    assert (found.reading, found.contradicts) == ("data", True)
    found = identify(changed(TEXTURE, setIsData=True), TEXTURE)
    assert (found.reading, found.contradicts, found.by_transform) == (
        "srgb_rec709_scene",
        True,
        "data",
    )


def test_config_without_roles_goes_by_name_and_by_what_opencolorio_finds():
    """OpenColorIO finds the interchange space of scene spaces itself; of display spaces never."""
    config = without_roles(builtin(OLDEST))
    for space in every_name(config):
        found = identify(config, space)
        said = library_says(space)
        assert found.reading == (said if said in READINGS else None), found
        compared = space != "Raw" and not said.endswith("_display") and space != "CIE-XYZ-D65"
        assert (found.distance is not None) == compared, found
    assert "cannot be compared" in identify(config, "sRGB - Display").words


def test_config_that_nothing_is_known_of_is_not_compared():
    config, olds = renamed(builtin(OLDEST))
    config = without_roles(config)
    for space in olds:
        found = identify(config, space)
        assert found.reading in (None, "data", library_says(olds[space]))


OWN = """ocio_profile_version: 2.1
environment: {{}}
search_path: {folder}
roles: {{default: plain}}
displays:
  screen:
    - !<View> {{name: plain, colorspace: plain}}
colorspaces:
  - !<ColorSpace> {{name: plain}}
  - !<ColorSpace>
    name: sRGB
    to_scene_reference: !<FileTransform> {{src: srgb.spi1d}}
"""
MISSING = """  - !<ColorSpace>
    name: missing
    to_scene_reference: !<FileTransform> {src: not-there.spi1d}
"""


def write_curve(path: Path, size: int) -> None:
    """Write the sRGB decode as a look-up table. Source: IEC 61966-2-1:1999."""
    codes = [index / (size - 1) for index in range(size)]
    light = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in codes]
    head = f"Version 1\nFrom 0 1\nLength {size}\nComponents 1\n{{\n"
    path.write_text(head + "\n".join(map(str, light)) + "\n}\n")


AP1_OVER_REC709 = """  - !<ColorSpace>
    name: kiln
    from_scene_reference: !<MatrixTransform> {{matrix: [{matrix}]}}
"""


def own_config(folder: Path, more: str = "") -> ocio.Config:
    path = folder / "own.ocio"
    path.write_text(OWN.format(folder=folder) + more)
    return ocio.Config.CreateFromFile(str(path))


@pytest.mark.parametrize("size", [1024, 4096])
def test_curve_in_a_look_up_table(tmp_path: Path, size: int):
    """A table that ends at 1 is still the curve; which space that is, the reference decides.

    Without roles OpenColorIO knows linear Rec.709 by the matrix from it to AP1 (to four digits;
    source: tests/data/reference/matrices__color-interop-forum-rec01.csv).
    """
    write_curve(tmp_path / "srgb.spi1d", size)
    matrix = "0.6131, 0.3395, 0.0474, 0, 0.0702, 0.9164, 0.0135, 0, 0.0206, 0.1096, 0.8698, 0"
    kiln = AP1_OVER_REC709.format(matrix=f"{matrix}, 0, 0, 0, 1")
    found = identify(own_config(tmp_path, kiln), "sRGB")
    assert (found.reading, found.by) == ("srgb_rec709_scene", "transform"), found.words
    alone = own_config(tmp_path)
    assert "cannot be compared" in identify(alone, "sRGB").words
    alone.setRole("aces_interchange", "plain")
    found = identify(alone, "sRGB")
    assert found.reading is None
    assert "no space of the vocabulary" in found.words
    assert local_space(alone, "lin_ap0_scene") == "plain"


def test_transform_that_cannot_be_built_is_told(tmp_path: Path):
    config = own_config(tmp_path, MISSING)
    config.setRole("aces_interchange", "plain")
    found = identify(config, "missing")
    assert (found.reading, found.by) == (None, "")
    assert "not-there.spi1d" in found.words


def test_renamed_config_does_the_maths(tmp_path: Path):
    """A renamed config converts under our names, with the numbers of the config it came from."""
    path = tmp_path / "renamed.ocio"
    path.write_text(renamed(builtin(OLDEST))[0].serialize())
    assert space_in_config("lin_ap1_scene", str(path)).startswith("shelf ")
    assert space_in_config("data", str(path)).startswith("shelf ")
    pair = ("srgb_rec709_scene", "lin_ap1_scene")
    found = convert((0.8, 0.4, 0.1), *pair, str(path))
    assert found == pytest.approx(convert((0.8, 0.4, 0.1), *pair, OLDEST), abs=1e-7)


def test_all_of_the_largest_config_in_two_seconds():
    config = builtin(NEWEST)
    start = time.perf_counter()
    assert len(identify_all(config)) > 50
    assert time.perf_counter() - start < 2.0


def test_every_id_of_the_vocabulary_is_in_the_newest():
    config = builtin(NEWEST)
    local = {reading: local_space(config, reading) for reading in SPACES}
    assert len(set(local.values())) == len(SPACES)
    assert None not in local.values()
