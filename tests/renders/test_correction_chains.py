"""Several corrections: in their order, in their spaces, one by one and as one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.colour.reference import rows
from tests.renders.correction_writers import (
    AP1,
    REC709,
    cc,
    clf_matrix,
    cube_3d,
    text,
)

from primecoat import corrections
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.colour.ocio.transforms import run_cdl
from primecoat.errors import InputError, UseError
from primecoat.renders.corrections import JudgedChain, Said, load_corrections, seen_through

IN_REC709 = f'space = "{REC709}"\n'


def write(folder: Path, words: str, name: str = "old.toml") -> Path:
    text(words)(folder / name)
    return folder / name


def entries(*words: str) -> str:
    return IN_REC709 + "".join(f"[[correction]]\n{word}\n" for word in words)


def verdicts(found: JudgedChain) -> list[str]:
    return [one.verdict for one in found.each]


def test_one_by_one_and_as_one(tmp_path):
    found = corrections(write(tmp_path, entries("exposure = 1", "power = 0.9", "gain = 1.5")))
    assert verdicts(found) == ["may stay", "must go", "may stay"]
    assert found.whole.verdict == "must go"
    assert "after power 0.9" in found.each[2].reasons[-1]
    assert "after" not in found.each[0].reasons[-1]


def test_corrections_that_undo_each_other(tmp_path):
    found = corrections(write(tmp_path, entries("power = 2", "power = 0.5")))
    assert verdicts(found) == ["must go", "must go"]
    assert (found.whole.verdict, found.whole.what) == ("may stay", "nothing")


def test_what_is_clipped_away_does_not_come_back(tmp_path):
    clip = 'points = [[0, 0], [1, 1]]\nbeyond = "hold"'
    down_and_up = entries("exposure = -8", clip, "exposure = 8")
    up_and_down = entries("exposure = 8", clip, "exposure = -8")
    assert corrections(write(tmp_path, down_and_up)).whole.verdict == "may stay"
    assert corrections(write(tmp_path, up_and_down)).whole.verdict == "must go"


def test_gains_of_two_primaries_are_one_matrix(tmp_path):
    """Gains in Rec.709, then in AP1: no gains in any primaries, yet both may stay."""
    words = entries("gain = [1.3, 1, 0.7]", f'space = "{AP1}"\ngain = [0.9, 1, 1.2]')
    found = corrections(write(tmp_path, words))
    assert verdicts(found) == ["may stay", "may stay"]
    assert (found.whole.verdict, found.whole.what) == ("may stay", "several gains")
    assert found.whole.restated is not None
    first, second = (one.restated for one in found.each)
    assert first is not None
    assert second is not None
    product = np.array(second.matrix) @ np.array(first.matrix)
    np.testing.assert_allclose(found.whole.restated.matrix, product, atol=1e-5)


def test_display_side_is_kept_apart(tmp_path):
    words = entries("exposure = 1", 'space = "srgb_rec709_display"\npower = 1.1')
    found = corrections(write(tmp_path, words))
    assert verdicts(found) == ["may stay", "belongs after the view"]
    assert found.whole.verdict == "may stay"


def test_list_keeps_track_of_its_spaces(tmp_path):
    words = """\
# a list as it stands in a config
- !<ColorSpaceTransform> {src: Linear Rec.709 (sRGB), dst: ACEScct}
- !<CDLTransform> {offset: [0.05, 0.05, 0.05], style: noclamp}
- !<CDLTransform> {slope: [1.1, 1.1, 1.1], style: noclamp}
- !<DisplayViewTransform> {src: ACEScct, display: sRGB - Display, view: Un-tone-mapped}
- !<CDLTransform> {power: [1.1, 1.1, 1.1], style: noclamp}
"""
    found = corrections(write(tmp_path, words, "old.yaml"))  # it says itself where it begins
    spaces = [one.correction.works_in for one in found.each]
    assert spaces == [REC709, "ACEScct", "ACEScct", "ACEScct", "srgb_rec709_display"]
    stay, after = "may stay", "belongs after the view"
    assert verdicts(found) == [stay, stay, "must go", "must go", after]
    assert found.each[1].what == "exposure"


def test_groups_and_inverses_in_a_list_act_in_order(tmp_path):
    words = """\
!<GroupTransform>
children:
  - !<CDLTransform> {slope: [2, 2, 2]}
  - !<CDLTransform> {offset: [1, 1, 1]}
direction: inverse
"""
    chain = load_corrections(
        str(write(tmp_path, words, "old.ocio")), Said(space=REC709), DEFAULT_CONFIG
    )
    np.testing.assert_allclose(seen_through(chain, np.full((1, 3), 5.0), REC709), 2.0)


def test_list_reads_files_beside_it(tmp_path):
    clf_matrix(np.diag([1.2, 1.0, 0.8]))(tmp_path / "warm.clf")
    path = write(tmp_path, "- !<FileTransform> {src: warm.clf}\n", "old.yaml")
    with pytest.raises(UseError, match="--gives"):
        corrections(path, from_space=REC709)
    assert corrections(path, from_space=REC709, gives=REC709).whole.what == "white balance"
    clf_matrix(np.diag([2.0, 2.0, 2.0]))(tmp_path / "warm.clf")  # the file changes under its name
    assert corrections(path, from_space=REC709, gives=REC709).whole.what == "exposure"


def test_entries_name_files(tmp_path):
    cc("1.1 1 0.9")(tmp_path / "warm.cc")
    cube_3d(lambda x: x**0.45)(tmp_path / "show.cube")
    words = entries(
        'file = "warm.cc"\nclamp = false', 'file = "show.cube"\ngives = "srgb_rec709_display"'
    )
    found = corrections(write(tmp_path, words))
    assert verdicts(found) == ["may stay", "must go"]
    assert found.each[1].what == "old view"


def test_table_of_entries(tmp_path):
    words = (
        "correction,value,space,beyond\n"
        "exposure,-1,ACEScg,\n"
        "points,0 0; 0.5 0.5; 1 0.7,lin_rec709_scene,extend\n"
    )
    found = corrections(write(tmp_path, words, "old.csv"))
    assert verdicts(found) == ["may stay", "must go"]
    assert [one.correction.works_in for one in found.each] == [AP1, REC709]


def test_pictures_go_through_a_chain(tmp_path):
    """A stop up and a power, by hand, beginning from AP1: the library's matrix, then arithmetic."""
    chain = load_corrections(
        str(write(tmp_path, entries("exposure = 1", "power = 0.5"))), Said(), DEFAULT_CONFIG
    )
    red = np.array([[[0.613097, 0.070194, 0.020616]]])  # Color Interop Forum: red of Rec.709
    seen = seen_through(chain, red, AP1)
    np.testing.assert_allclose(seen, [[[2**0.5, 0.0, 0.0]]], atol=2e-3)
    np.testing.assert_array_equal(red, [[[0.613097, 0.070194, 0.020616]]])


@pytest.mark.parametrize("row", rows("cdl-vectors__opencolorio-tests.csv"))
def test_cdl_vectors(row):
    def three(name: str) -> tuple[float, float, float]:
        return float(row[f"{name}_r"]), float(row[f"{name}_g"]), float(row[f"{name}_b"])

    run = run_cdl(
        three("slope"),
        three("offset"),
        three("power"),
        float(row["sat"]),
        clamp=row["style"] == "clamp",
        config=DEFAULT_CONFIG,
    )
    np.testing.assert_allclose(run(np.array([three("in")])), [three("out")], atol=2e-6)


REFUSED: tuple[tuple[str, str, dict[str, str], type[Exception], str], ...] = (
    ("old.toml", "[[correction]]\nexposure = 1", {}, UseError, "--from SPACE"),
    ("old.toml", entries("points = [[0, 0], [1, 1]]"), {}, InputError, "beyond"),
    ("old.toml", entries("gain = [1, 2]"), {}, InputError, "three numbers"),
    ("old.toml", entries("gain = inf"), {}, InputError, "gain"),
    ("old.toml", entries("power = 0"), {}, InputError, "above 0"),
    ("old.toml", entries("gain = 1\noffset = 1"), {}, InputError, "gain, offset"),
    ("old.toml", entries("glow = 1"), {}, InputError, "glow"),
    ("old.toml", entries('points = [[1, 0], [0, 1]]\nbeyond = "hold"'), {}, InputError, "points"),
    ("old.toml", "gain = 1", {}, InputError, r"\[\[correction\]\]"),
    ("old.toml", "gain = ", {}, InputError, "TOML"),
    ("old.toml", entries('file = "nowhere.cc"\nclamp = true'), {}, InputError, "nowhere"),
    ("old.toml", entries("gain = 1") + 'space = "raw"', {}, UseError, "data"),
    ("old.toml", entries("gain = 1") + 'space = "moonlight"', {}, UseError, "moonlight"),
    ("old.csv", "what,value\ngain,1\n", {}, InputError, "columns"),
    ("old.csv", "correction,value\ngain,one\n", {"from_space": AP1}, InputError, "line 2"),
    ("old.yaml", "- !<CDLTransform> {slope: [1, 1, 1]}", {}, UseError, "--from SPACE"),
    ("old.yaml", "- !<CDLTransform> {slope: x}", {"from_space": AP1}, InputError, "line 1"),
    ("old.yaml", "ocio_profile_version: 2", {"from_space": AP1}, UseError, "whole config"),
    ("old.yaml", "", {"from_space": AP1}, InputError, "no transform"),
    ("old.yaml", "- !<FileTransform> {src: no.cube}", {"from_space": AP1}, InputError, "no.cube"),
    ("old.txt", "gain 1", {"from_space": AP1}, UseError, "Give one of"),
)


@pytest.mark.parametrize(("name", "words", "said", "error", "match"), REFUSED)
def test_refused(name, words, said, error, match, tmp_path):
    with pytest.raises(error, match=match) as refused:
        corrections(write(tmp_path, words, name), **said)
    assert refused.value.exit_code == 2


def test_what_a_file_does_not_say_is_asked_for(tmp_path):
    cc()(tmp_path / "a.cc")
    cube_3d(lambda x: x)(tmp_path / "a.cube")
    with pytest.raises(UseError, match="--from SPACE"):
        corrections(tmp_path / "a.cc", clamp=False)
    with pytest.raises(UseError, match="--no-clamp"):
        corrections(tmp_path / "a.cc", from_space=REC709)
    with pytest.raises(UseError, match="--from SPACE"):
        corrections(tmp_path / "a.cube", gives=REC709)
    with pytest.raises(UseError, match="--gives SPACE"):
        corrections(tmp_path / "a.cube", from_space=REC709)


def test_clamp_decides_over_a_cdl(tmp_path):
    cc("1.1 1 0.9")(tmp_path / "a.cc")
    for clamp, verdict in ((False, "may stay"), (True, "must go")):
        found = corrections(tmp_path / "a.cc", from_space=REC709, clamp=clamp)
        assert found.whole.verdict == verdict


def test_scene_side_after_display_side_is_refused(tmp_path):
    words = entries('space = "srgb_rec709_display"\npower = 1.1', "exposure = 1")
    with pytest.raises(UseError, match="order"):
        corrections(write(tmp_path, words))
