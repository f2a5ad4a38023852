"""A config that is written: what it says, what it refuses, and that nothing else is touched."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import PyOpenColorIO as ocio
import pytest

from primecoat.colour.ids import NAMES, READINGS, UNKNOWN
from primecoat.colour.ocio import DEFAULT_CONFIG, load_config
from primecoat.config.build import build_config
from primecoat.config.content import ConfigContent, FileRule
from primecoat.config.look_file import load_look_file
from primecoat.config.plan_content import plan_content
from primecoat.config.read_back import build_everything, differences, read_back
from primecoat.config.write import config_bytes, is_ours, write_config
from primecoat.errors import PrimecoatError, RefusedError, UseError

BASES = tuple(entry[0] for entry in ocio.BuiltinConfigRegistry().getBuiltinConfigs())
OLDEST = "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"
CUBE = "LUT_3D_SIZE 2\n" + "".join(
    f"{r / 2} {g} {b}\n" for b in (0, 1) for g in (0, 1) for r in (0, 1)
)


@pytest.mark.parametrize("base", BASES)
def test_every_base(base: str, tmp_path: Path):
    """From every built-in config a config comes that loads, is valid and builds as a whole."""
    content = plan_content(base=base)
    out = tmp_path / "tea.ocio"
    written = write_config(content, out)
    assert [path.name for path in tmp_path.iterdir()] == ["tea.ocio"]
    config = ocio.Config.CreateFromFile(str(out))
    config.validate()
    built, broken = build_everything(config)
    assert (built, broken) == (written.processors, ())
    assert built > 2 * len(READINGS)
    assert (config.getMajorVersion(), config.getMinorVersion()) == content.version
    source = load_config(base)
    assert (source.getMajorVersion(), source.getMinorVersion()) == content.version
    for name, reading in NAMES.items():
        assert config.getColorSpace(name).getName() == config.getColorSpace(reading).getName()
    for display in source.getDisplays():
        assert list(config.getViews(display)) == list(source.getViews(display))


def test_a_file_without_token_is_unknown(tmp_path: Path):
    """The default rule leads to a space that is data, says so, and is no reading."""
    write_config(plan_content(), tmp_path / "tea.ocio")
    config = ocio.Config.CreateFromFile(str(tmp_path / "tea.ocio"))
    for path in ("tea/sky.hdr", "x.exr", "clip.mov", "bowl.tx", "raw/beauty.png"):
        assert config.getColorSpaceFromFilepath(path)[0] == UNKNOWN
    space = config.getColorSpace(UNKNOWN)
    assert space.isData()
    assert space.getInteropID() == UNKNOWN
    assert "Nothing says" in space.getDescription()
    assert UNKNOWN not in READINGS


def test_roles(tmp_path: Path):
    """Working space and interchange roles are set; the default role is the default rule's."""
    write_config(plan_content(working="lin_rec2020_scene"), tmp_path / "tea.ocio")
    config = ocio.Config.CreateFromFile(str(tmp_path / "tea.ocio"))
    roles = {role: config.getColorSpace(space) for role, space in config.getRoles()}
    assert "lin_rec2020_scene" in list(roles["scene_linear"].getAliases())
    assert roles["rendering"].getName() == roles["scene_linear"].getName()
    assert roles["aces_interchange"].getName() == "ACES2065-1"
    assert roles["cie_xyz_d65_interchange"].getReferenceSpaceType() == (
        ocio.REFERENCE_SPACE_DISPLAY
    )
    assert roles["data"].isData()
    assert roles["default"].getName() == UNKNOWN
    for role in ("color_picking", "texture_paint"):
        assert "srgb_rec709_scene" in list(roles[role].getAliases())


def test_interop_ids_where_the_version_has_them():
    """From profile version 2.5 on every reading's space states its ID; before, none does."""
    new, old = build_config(plan_content()), build_config(plan_content(base=OLDEST))
    for reading in READINGS:
        assert new.getColorSpace(reading).getInteropID() == reading
        assert old.getColorSpace(reading).getInteropID() == ""
    assert "interop_id" not in old.serialize()


def test_looks_and_old_view(tmp_path: Path):
    """Look files come to lie beside the config, which then shows the old view and the look."""
    lut = tmp_path / "in" / "warm.cube"
    lut.parent.mkdir()
    lut.write_text(CUBE)
    shown = load_look_file(lut, works_in="srgb_rec709_scene", gives="srgb_rec709_display")
    look = load_look_file(lut, works_in="lin_ap1_scene", gives="lin_ap1_scene")
    content = plan_content(made_in="lin_rec709_scene", old_look=shown, look=look)
    folder = tmp_path / "out"
    folder.mkdir()
    written = write_config(content, folder / "tea.ocio")
    assert [path.read_text() for path in written.beside] == [CUBE]
    config = ocio.Config.CreateFromFile(str(folder / "tea.ocio"))
    views = set(config.getViews("sRGB - Display"))
    assert views > set(load_config(DEFAULT_CONFIG).getViews("sRGB - Display"))
    assert len(list(config.getLookNames())) == len(content.looks) + 1
    assert read_back(folder / "tea.ocio", content) == written.processors
    # without its LUT it is not valid any more, and that is said
    written.beside[0].unlink()
    ocio.ClearAllCaches()
    with pytest.raises(RefusedError, match=r"warm\.cube"):
        read_back(folder / "tea.ocio", content)


def test_again_over_our_own(tmp_path: Path):
    """An earlier config of ours is replaced; the same content gives the same bytes."""
    out = tmp_path / "tea.ocio"
    first = write_config(plan_content(), out)
    second = write_config(plan_content(), out)
    third = write_config(plan_content(base=OLDEST), out)
    assert (first.replaced, second.replaced, third.replaced) == (False, True, True)
    assert first.sha256 == second.sha256 != third.sha256
    assert is_ours(out.read_bytes())


@pytest.mark.parametrize("kind", ["another's", "changed by hand", "a link", "empty", "a folder"])
def test_never_over_another_file(tmp_path: Path, kind: str):
    """What is not ours, or was changed since, stays as it is."""
    out = tmp_path / "tea.ocio"
    if kind == "another's":
        out.write_text(build_config(plan_content()).serialize())  # even one that says the same
    elif kind == "empty":
        out.touch()
    elif kind == "a folder":
        out.mkdir()
    else:
        target = tmp_path / "real.ocio" if kind == "a link" else out
        write_config(plan_content(), target)
        if kind == "a link":
            out.symlink_to(target)
        else:
            out.write_text(
                out.read_text().replace("- !<Rule> {name: Token data", "- !<Rule> {name: d")
            )
    before = {path: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    with pytest.raises(PrimecoatError, match=r"tea\.ocio") as caught:
        write_config(plan_content(), out)
    assert caught.value.exit_code in (1, 2)
    assert {p: p.read_bytes() for p in tmp_path.iterdir() if p.is_file()} == before


def test_an_invalid_one_is_not_written(tmp_path: Path):
    """What cannot be proven gets no name, and nothing is left behind."""
    content = plan_content()
    no_view = replace(content, views=(*content.views, ("sRGB - Display", "Moonlight")))
    no_role = replace(content, roles=(*content.roles, ("scene_linear", "Moonlight")))
    rule = FileRule(name="more", regex=".*moon.*", reading="data")
    for broken, words in ((no_view, "Moonlight"), (no_role, "Moonlight")):
        with pytest.raises(RefusedError, match=words):
            write_config(broken, tmp_path / "tea.ocio")
    assert list(tmp_path.iterdir()) == []
    other = build_config(replace(content, rules=(rule, *content.rules)))
    assert any("file rules" in words for words in differences(other, content))


@pytest.mark.parametrize(
    "change",
    [
        lambda c: c.setRole("data", "ACEScg"),
        lambda c: c.setRole("moon", "ACEScg"),
        lambda c: c.setInactiveColorSpaces("ACEScg"),
        lambda c: c.removeColorSpace("ACEScct"),
        lambda c: c.setActiveViews("Raw"),
        lambda c: c.setDescription("another"),
        lambda c: c.setFileRules(ocio.FileRules()),
    ],
)
def test_a_difference_is_found(change):
    """Whatever is changed in a config, it is held not to say what its content says."""
    content = plan_content()
    config = build_config(content)
    assert differences(config, content) == ()
    change(config)
    assert differences(config, content) != ()


@pytest.mark.parametrize(
    ("keywords", "words"),
    [
        ({"base": "moonlight"}, "no built-in config"),
        ({"working": "srgb_rec709_scene"}, "working space"),
        ({"working": "moonlight"}, "working space"),
        ({"made_in": "data"}, "working space"),
    ],
)
def test_wrong_use(keywords: dict[str, str], words: str):
    """A base or a space that is none is a wrong use."""
    with pytest.raises(UseError, match=words):
        plan_content(**keywords)  # type: ignore[arg-type]


def test_wrong_names(tmp_path: Path):
    """The name ends in .ocio, and what stands where its folder belongs is one."""
    content = plan_content()
    (tmp_path / "none").write_text("")
    for out in (tmp_path / "tea.txt", tmp_path / "none" / "tea.ocio"):
        with pytest.raises(UseError):
            write_config(content, out)
    assert [path.name for path in tmp_path.iterdir()] == ["none"]


def test_content_is_plain_data():
    """The content can be compared, and says all that the bytes come from."""
    content: ConfigContent = plan_content()
    assert content == plan_content()
    assert config_bytes(content) == config_bytes(plan_content())
