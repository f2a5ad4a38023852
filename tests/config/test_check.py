"""A whole config check: no false alarm on sound configs, no fault missed, no harm done."""

from __future__ import annotations

import re
import time
from importlib.util import find_spec
from pathlib import Path

import PyOpenColorIO as ocio
import pytest
from tests.colour.reference import matrices
from tests.config.check_makers import HEALTHY, changed, write

from primecoat.colour.ids import SPACES
from primecoat.config.check import check_config

BUILTINS = [entry[0] for entry in ocio.BuiltinConfigRegistry().getBuiltinConfigs()]

# White of the views that the studio configs for ACES 1 call "D60 sim": ACES documentation,
# Derivation of the ACES White Point
ACES_WHITE = "x 0.3217, y 0.3377"


def alarms(name: str | Path) -> list[str]:
    found = check_config(str(name)).findings
    return [f"{f.code} {f.message}" for f in found if f.severity != "note"]


@pytest.mark.parametrize("name", BUILTINS)
def test_builtin_configs_raise_no_alarm(name, tmp_path):
    assert alarms(name) == []
    file = tmp_path / "copy.ocio"
    file.write_text(ocio.Config.CreateFromBuiltinConfig(name).serialize(), "utf-8")
    assert alarms(file) == []


def test_ten_builtin_configs_were_tried():
    assert len(BUILTINS) >= 10


def test_a_whole_studio_config_takes_seconds():
    before = time.perf_counter()
    found = check_config("studio-config-v4.0.0_aces-v2.0_ocio-v2.5")
    assert time.perf_counter() - before < 30.0  # 2 s on two cores in 2026; wide for busy machines
    config = ocio.Config.CreateFromBuiltinConfig("studio-config-v4.0.0_aces-v2.0_ocio-v2.5")
    assert found.counts.spaces == 57
    assert found.counts.views == sum(len(config.getViews(d)) for d in config.getDisplaysAll())


@pytest.mark.parametrize(
    "name", ["studio-config-v1.0.0_aces-v1.3_ocio-v2.1", "studio-config-v2.2.0_aces-v1.3_ocio-v2.4"]
)
def test_views_that_simulate_another_white_are_told_apart(name):
    """Exactly the views that the config itself calls simulations; their white is the published."""
    notes = [f.message for f in check_config(name).findings if f.code == "PC527"]
    config = ocio.Config.CreateFromBuiltinConfig(name)
    called = [
        f"{d} / {v}" for d in config.getDisplays() for v in config.getViews(d) if " sim " in v
    ]
    assert len(called) >= 5
    assert len(notes) == len(called)
    for view in called:
        (note,) = [n for n in notes if view in n]
        assert (ACES_WHITE in note) == ("D60 sim on D65" in view)


def test_aces_reference_config_raises_no_alarm():
    """The ACES reference config of OpenColorIO-Config-ACES, as colour-science carries it."""
    package = find_spec("colour")
    assert package is not None
    assert package.origin is not None
    file = (
        Path(package.origin).parent
        / "io"
        / "tests"
        / "resources"
        / "config-aces-reference.ocio.yaml"
    )
    assert alarms(file) == []
    assert check_config(str(file)).counts.spaces == 26


# --- the reference config of the Color Interop Forum, rebuilt from its published numbers ---------

_CURVES = {
    "linear": "",
    "srgb": "!<ExponentWithLinearTransform> {gamma: 2.4, offset: 0.055}",
    "g24": "!<ExponentTransform> {value: 2.4, style: pass_thru}",
    "g18": "!<ExponentTransform> {value: 1.8, style: pass_thru}",
    "g22": "!<ExponentTransform> {value: 2.2, style: pass_thru}",
    "g22_adobe": "!<ExponentTransform> {value: 2.19921875, style: pass_thru}",  # 563/256
}


def forum_config() -> str:
    """Return a config of the forum's scene spaces; SOURCES.md names the document."""
    published = matrices("matrices__color-interop-forum-rec01.csv")
    parts = []
    for space in SPACES.values():
        matrix = published.get(f"{space.primaries}_to_ap0_bradford")
        if space.referred != "scene" or (matrix is None and space.primaries != "ap0"):
            continue
        curve = (
            "g22_adobe" if space.primaries == "adobergb" and space.curve == "g22" else space.curve
        )
        steps = [_CURVES[curve]] if _CURVES[curve] else []
        if matrix is not None:
            rows = ", ".join(f"{float(v)!r}" for row in matrix for v in (*row, 0.0))
            steps.append(f"!<MatrixTransform> {{matrix: [{rows}, 0, 0, 0, 1]}}")
        encoding = "scene-linear" if space.curve == "linear" else "sdr-video"
        parts.append(f"  - !<ColorSpace>\n    name: {space.id}\n    interop_id: {space.id}\n")
        parts.append(f"    encoding: {encoding}\n")
        if steps:
            parts.append(
                f"    to_scene_reference: !<GroupTransform> {{children: [{', '.join(steps)}]}}\n"
            )
    head = """ocio_profile_version: 2.5
roles:
  aces_interchange: lin_ap0_scene
  cie_xyz_d65_interchange: xyz
  color_timing: lin_ap1_scene
  compositing_log: lin_ap1_scene
  scene_linear: lin_ap1_scene
file_rules:
  - !<Rule> {name: Default, colorspace: data}
displays:
  screen:
    - !<View> {name: colorimetric, view_transform: colorimetric, display_colorspace: screen}
view_transforms:
  - !<ViewTransform>
    name: colorimetric
    from_scene_reference: !<BuiltinTransform> {style: UTILITY - ACES-AP0_to_CIE-XYZ-D65_BFD}
display_colorspaces:
  - !<ColorSpace>
    name: xyz
  - !<ColorSpace>
    name: screen
    from_display_reference: !<BuiltinTransform> {style: DISPLAY - CIE-XYZ-D65_to_sRGB}
colorspaces:
  - !<ColorSpace>
    name: data
    interop_id: data
    isdata: true
"""
    return head + "".join(parts)


def test_forum_reference_config_raises_no_alarm(tmp_path):
    file = tmp_path / "forum.ocio"
    file.write_text(forum_config(), "utf-8")
    found = check_config(str(file))
    assert found.findings == ()
    assert found.counts.spaces >= 12


def test_forum_reference_config_with_one_wrong_digit(tmp_path):
    """0.45 for 0.4396… in the first matrix of Rec.709: a spoilt copy is told from the true one."""
    file = tmp_path / "forum.ocio"
    text = forum_config()
    assert "0.439632981919491" in text
    file.write_text(text.replace("0.439632981919491", "0.459632981919491"), "utf-8")
    assert {f.code for f in check_config(str(file)).findings} == {"PC513"}


# --- keys ---------------------------------------------------------------------------------------

KEYS = (
    *("environment", "search_path", "strictparsing", "roles", "file_rules", "displays", "looks"),
    *("default_view_transform", "view_transforms", "display_colorspaces", "colorspaces"),
    *("named_transforms", "process_space", "from_display_reference"),
    *("isdata", "encoding", "transform", "interpolation", "matrix"),
)
"""Keys of the healthy config, one for each kind of place that has keys of its own."""


@pytest.mark.parametrize("key", KEYS)
def test_misspelt_key_is_found_everywhere(key, tmp_path):
    """Also where the misspelling has OpenColorIO refuse the config or breaks more."""
    spoilt = key[:2] + key[3] + key[2] + key[4:]
    text, changes = re.subn(rf"(?<!\w){key}:", f"{spoilt}:", HEALTHY, count=1)
    assert changes == 1
    path = write(tmp_path, text)
    found = [f for f in check_config(str(path)).findings if f.code == "PC502"]
    assert len(found) == 1, found
    assert f"'{spoilt}'" in found[0].message
    assert f"'{key}'" in found[0].remedy


TRANSFORMS = sorted(
    name
    for name in dir(ocio)
    if name.endswith("Transform")
    and issubclass(getattr(ocio, name), ocio.Transform)
    # a group has its own list, LUTs stand in files, and Transform is what all of them are
    and name not in ("GroupTransform", "Lut1DTransform", "Lut3DTransform", "Transform")
)


@pytest.mark.parametrize("name", TRANSFORMS)
def test_unknown_key_is_found_in_every_transform(name, tmp_path):
    """Every transform that the library has, as of OpenColorIO's documentation."""
    make = changed(("!<FileTransform> {src: curve.spi1d}", f"!<{name}> {{blunder: 1}}"))
    found = check_config(str(make(tmp_path))).findings
    assert [f.code for f in found if "'blunder'" in f.message] == ["PC502"]


def test_view_transform_without_a_transform_is_refused_with_its_line(tmp_path):
    """Here OpenColorIO gives up before it tells of the key that it does not know."""
    make = changed(("from_scene_reference: !<Built", "from_scene_referense: !<Built"))
    (found,) = check_config(str(make(tmp_path))).findings
    assert found.code == "PC525"
    assert "line" in found.message


def test_line_of_the_misspelt_key(tmp_path):
    path = changed(("encoding: scene-linear", "encodign: scene-linear"))(tmp_path)
    number = path.read_text("utf-8").splitlines().index("    encodign: scene-linear") + 1
    (found,) = check_config(str(path)).findings
    assert found.location is not None
    assert found.location.place == f"line {number}"


# --- rules --------------------------------------------------------------------------------------


def rules(*lines: str) -> list[tuple[str, str]]:
    old = HEALTHY.index("file_rules:"), HEALTHY.index("displays:")
    return [
        (HEALTHY[slice(*old)], "file_rules:\n" + "".join(f"  - !<Rule> {{{x}}}\n" for x in lines))
    ]


DEFAULT = "name: Default, colorspace: Raw"


@pytest.mark.parametrize(
    "lines",
    [
        (
            'name: A, colorspace: Raw, pattern: "*", extension: exr',
            'name: B, colorspace: Raw, pattern: "*", extension: "*"',
        ),
        (
            'name: A, colorspace: Raw, regex: ".*[._-]raw[._-].*"',
            'name: B, colorspace: Raw, pattern: "*_raw_*", extension: exr',
            'name: C, colorspace: Raw, pattern: "*_rgb", extension: exr',
        ),
        (
            'name: A, colorspace: Raw, regex: ".*\\\\.(exr|png)"',
            'name: B, colorspace: Raw, regex: ".*\\\\.(exr|png|tif)"',
        ),
        ('name: A, colorspace: Raw, regex: "(.*/)?([^/]*[._-])?raw([._-][^/]*)?"',),
    ],
)
def test_rules_that_fire_raise_no_alarm(lines, tmp_path):
    """Overlapping rules; B in the second is taken whole by A, and only that is told."""
    found = check_config(str(changed(*rules(*lines, DEFAULT))(tmp_path))).findings
    told = [f.location.place for f in found if f.location]
    assert told == (["file rule B"] if len(lines) == 3 else [])


@pytest.mark.parametrize(
    ("rule", "word"),
    [
        ('name: A, colorspace: Raw, pattern: "*raw*", extension: "*"', "strawberry"),
        ('name: A, colorspace: Raw, regex: ".*aces.*"', "surfaces"),
        ('name: A, colorspace: Raw, regex: ".*(lin|log)[^/]*\\\\.exr"', "violin"),
        ("name: ColorSpaceNamePathSearch", "strawberry"),
    ],
)
def test_trapped_words_are_named_and_really_trapped(rule, word, tmp_path):
    """The words of OpenColorIO issue 1356 (caraway-seeds.jpg read as raw) and its like."""
    path = changed(*rules(rule, DEFAULT))(tmp_path)
    (found,) = [f for f in check_config(str(path)).findings if f.code == "PC510"]
    assert word in found.message
    config = ocio.Config.CreateFromFile(str(path))
    ending = ".exr" if "exr" in rule else ".png"
    assert config.getColorSpaceFromFilepath(f"{word}{ending}")[1] == 0
