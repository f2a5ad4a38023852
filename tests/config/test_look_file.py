"""Reading a look file: its numbers, what must be said of it, what is wrong with a broken one."""

from __future__ import annotations

import hashlib
import math
import re

import PyOpenColorIO as ocio
import pytest
from tests.config.look_files import COOL, WARM, grid, lines, write_cc, write_ccc, write_cdl
from tests.config.old_pipeline import REC709, SRGB

from primecoat.config.look_file import (
    CDL_SUFFIXES,
    LUT_SUFFIXES,
    LookFile,
    files_beside,
    load_look_file,
    split_correction,
)
from primecoat.errors import InputError, PrimecoatError, UseError

CUBE = "LUT_3D_SIZE 2\n" + lines(grid(2, 0.0, 1.0, lambda rgb: rgb)) + "\n"


def numbers(look: LookFile):
    assert look.cdl is not None
    return look.cdl.slope, look.cdl.offset, look.cdl.power, look.cdl.saturation


def cube(folder, name="tea.cube", text=CUBE):
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    return path


def test_numbers_of_each_cdl_file(tmp_path):
    """What was written comes back, to single precision or better."""
    files = [
        (write_cc(tmp_path / "warm.cc"), None),
        (write_ccc(tmp_path / "grades.ccc", warm=WARM, cool=COOL), "warm"),
        (write_cdl(tmp_path / "list.cdl", cool=COOL, warm=WARM), "warm"),
        (write_cc(tmp_path / "LOUD.CC"), None),
    ]
    for path, name in files:
        look = load_look_file(path, works_in=REC709, clamp=True, correction=name)
        for found, written in zip(numbers(look), WARM, strict=True):
            assert found == pytest.approx(written, abs=1e-7)
        assert look.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
        assert (look.works_in, look.gives, look.clamp) == (REC709, REC709, True)
        assert look.correction == (name or "")


def test_an_id_is_never_taken_for_a_place_in_the_list(tmp_path):
    """OpenColorIO takes digits for an index if no ID is like it; here that is an error."""
    path = write_ccc(tmp_path / "grades.ccc", warm=WARM, cool=COOL)
    with pytest.raises(UseError, match=r"no correction 1\. .*It holds: warm, cool"):
        load_look_file(path, works_in=REC709, clamp=True, correction="1")
    assert numbers(load_look_file(path, works_in=REC709, clamp=True, correction="cool")) == COOL


def test_several_corrections_and_none_named(tmp_path):
    path = write_cdl(tmp_path / "list.cdl", warm=WARM, cool=COOL)
    with pytest.raises(UseError, match=r"holds 2 corrections.*FILE#ID.*warm, cool"):
        load_look_file(path, works_in=REC709, clamp=True)


def test_one_correction_needs_no_name(tmp_path):
    path = write_ccc(tmp_path / "one.ccc", only=WARM)
    look = load_look_file(path, works_in=REC709, clamp=False)
    assert (look.title, numbers(look)) == ("one.ccc", WARM)


def test_a_saturation_alone(tmp_path):
    path = tmp_path / "sat.cc"
    path.write_text(
        '<ColorCorrection id="s"><SatNode><Saturation>0.5</Saturation></SatNode></ColorCorrection>'
    )
    ones, zeros = (1.0, 1.0, 1.0), (0.0, 0.0, 0.0)
    look = load_look_file(path, works_in=REC709, clamp=False)
    assert numbers(look) == (ones, zeros, ones, 0.5)


def test_a_file_that_changed_is_read_anew(tmp_path):
    """OpenColorIO alone would give the old numbers again: it keeps files by their path."""
    path = write_cc(tmp_path / "tea.cc", WARM)
    load_look_file(path, works_in=REC709, clamp=True)
    write_cc(path, COOL)
    assert numbers(load_look_file(path, works_in=REC709, clamp=True)) == COOL
    lut = cube(tmp_path)
    load_look_file(lut, works_in=REC709, gives=SRGB)
    lut.write_text("LUT_3D_SIZE 2\n")
    with pytest.raises(InputError, match=r"tea\.cube"):
        load_look_file(lut, works_in=REC709, gives=SRGB)


@pytest.mark.parametrize(
    ("name", "said", "words"),
    [
        ("warm.cc", {"clamp": True}, "which colour space it works in"),
        ("warm.cc", {"works_in": REC709}, "whether its CDL clamps"),
        ("tea.cube", {"gives": SRGB}, "which colour space it works in"),
        ("tea.cube", {"works_in": REC709}, "which colour space it gives.*srgb_rec709_display"),
        ("tea.cube", {"works_in": REC709, "gives": SRGB, "clamp": True}, "holds its own range"),
        ("tea.cube", {"works_in": REC709, "gives": SRGB, "correction": "a"}, "no corrections"),
        ("tea.png", {"works_in": REC709, "gives": SRGB}, r"no look file.*\.cc, .*\.cube"),
    ],
)
def test_nothing_that_matters_is_assumed(tmp_path, name, said, words):
    write_cc(tmp_path / "warm.cc")
    cube(tmp_path)
    with pytest.raises(UseError, match=words) as caught:
        load_look_file(tmp_path / name, **{"works_in": None, **said})
    assert caught.value.remedy
    assert "\n" not in str(caught.value)


BROKEN = {
    "empty.cube": "",
    "short.cube": "LUT_3D_SIZE 3\n0 0 0\n",
    "words.cube": "LUT_1D_SIZE 2\n0 0 0\n1 1 tea\n",
    "slope.cc": "<ColorCorrection><SOPNode><Slope>1 1</Slope></SOPNode></ColorCorrection>",
    "words.cc": "tea",
    "below.cc": "<ColorCorrection><SOPNode><Slope>-1 1 1</Slope><Offset>0 0 0</Offset>"
    "<Power>1 1 1</Power></SOPNode></ColorCorrection>",
    "power.cc": "<ColorCorrection><SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset>"
    "<Power>0 1 1</Power></SOPNode></ColorCorrection>",
    "none.ccc": '<ColorCorrectionCollection xmlns="urn:ASC:CDL:v1.2"/>',
    "twice.ccc": '<ColorCorrectionCollection xmlns="urn:ASC:CDL:v1.2">'
    '<ColorCorrection id="a"/><ColorCorrection id="a"/></ColorCorrectionCollection>',
    "short.clf": '<ProcessList id="a" compCLFversion="3"><LUT1D inBitDepth="32f" '
    'outBitDepth="32f"><Array dim="2 1">0</Array></LUT1D></ProcessList>',
    "other.clf": '<ProcessList id="a" compCLFversion="3"><Reference path="b.clf"/></ProcessList>',
    "words.clf": "tea",
    "short.spi1d": "Version 1\nFrom 0 1\nLength 3\nComponents 1\n{\n0\n}\n",
    "short.spi3d": "SPILUT 1.0\n3 3\n2 2 2\n0 0 0 0 0 0\n",
    "short.csp": "CSPLUTV100\n1D\n",
    "short.3dl": "0 512\n",
    "inverse.ctf": '<ProcessList id="x" version="1.7"><inverseLUT3D inBitDepth="32f" '
    'outBitDepth="32f"><Array dim="2 2 2 3">0 0 0 0 0 1 0 1 0 0 1 1 1 0 0 1 0 1 1 1 0 1 1 .9'
    "</Array></inverseLUT3D></ProcessList>",
}


def load_anyhow(path):
    if path.suffix in CDL_SUFFIXES:
        return load_look_file(path, works_in=REC709, clamp=True)
    return load_look_file(path, works_in=REC709, gives=SRGB)


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file(tmp_path, name):
    (tmp_path / name).write_text(BROKEN[name])
    with pytest.raises(InputError) as caught:
        load_anyhow(tmp_path / name)
    words = str(caught.value)
    assert str(tmp_path / name) in words
    assert "\n" not in words
    assert len(words.replace(str(tmp_path), "")) < 250
    assert caught.value.remedy
    assert not re.search("failed with|formats have been tried|/look[.]", words)


def test_a_picture_under_the_name_of_a_lut(tmp_path):
    path = tmp_path / "tea.cube"
    path.write_bytes(bytes(range(256)) * 10)
    with pytest.raises(InputError, match=r"tea\.cube: "):
        load_anyhow(path)


def test_a_file_that_is_not_there(tmp_path):
    for name in ("tea.cube", "tea.cc"):
        with pytest.raises(InputError, match=r"tea\.c.*No such file"):
            load_anyhow(tmp_path / name)
    (tmp_path / "folder.cube").mkdir()
    with pytest.raises(InputError, match="Cannot read the look file"):
        load_anyhow(tmp_path / "folder.cube")


def test_file_and_correction(tmp_path):
    grades = tmp_path / "grades.ccc"
    assert split_correction(f"{grades}#tea_010") == (grades, "tea_010")
    assert split_correction(str(grades)) == (grades, None)
    odd = cube(tmp_path, "take#2.cube")
    assert split_correction(str(odd)) == (odd, None)
    real = write_cc(tmp_path / "a#b.cc")
    assert split_correction(str(real)) == (real, None)


def test_only_luts_lie_beside_a_config(tmp_path):
    grade = load_anyhow(write_cc(tmp_path / "warm.cc"))
    lut = load_anyhow(cube(tmp_path))
    assert files_beside(None, grade, lut, lut) == ((lut.path, "looks/tea.cube"),)


def test_names_that_opencolorio_would_expand(tmp_path):
    """``$NAME`` and ``%NAME%`` are context variables in any path of a config."""
    look = load_anyhow(cube(tmp_path, "the $SHOT tea, %DATE% ünder.CUBE"))
    assert files_beside(look)[0][1] == "looks/the_SHOT_tea_DATE_nder.cube"
    assert not set(look.title) & set("$%,:|+")


def test_two_files_of_one_name(tmp_path):
    one = load_anyhow(cube(tmp_path, "old/tea.cube"))
    same = load_anyhow(cube(tmp_path, "copy/tea.cube"))
    other = load_anyhow(cube(tmp_path, "new/TEA.cube", CUBE.replace("1.0", "0.9", 1)))
    assert files_beside(one, same) == ((one.path, "looks/tea.cube"),)
    with pytest.raises(UseError, match="Rename one of them"):
        files_beside(one, other)


def test_every_suffix_is_one_of_the_librarys():
    known = {f".{suffix}" for _, suffix in ocio.FileTransform.getFormats()}
    assert {*CDL_SUFFIXES, *LUT_SUFFIXES} <= known
    assert {".cube", ".clf", ".ctf", ".spi1d", ".spi3d", ".csp", ".3dl"} == set(LUT_SUFFIXES)


@pytest.mark.parametrize("odd", ["nan", "inf", "1e400"])
def test_a_lut_with_numbers_that_are_none(tmp_path, odd):
    for text in (CUBE, "LUT_1D_SIZE 2\n0 0 0\n1.000000000 1 1\n"):
        path = cube(tmp_path, text=text.replace("1.000000000", odd, 1))
        with pytest.raises(InputError, match=r"tea\.cube"):
            load_anyhow(path)


def test_odd_numbers_raise_our_own_error_or_none(tmp_path):
    """Whatever stands where a number belongs: numbers come back finite, or an error of ours."""
    for odd in ("nan", "inf", "-inf", "1e400", "0x10", "1,5", "", "tea"):
        path = tmp_path / "odd.cc"
        path.write_text(
            f"<ColorCorrection><SOPNode><Slope>1 {odd} 1</Slope><Offset>0 0 {odd}</Offset>"
            f"<Power>1 1 1</Power></SOPNode></ColorCorrection>"
        )
        try:
            slope, offset, power, saturation = numbers(load_anyhow(path))
        except PrimecoatError:
            continue
        assert all(math.isfinite(value) for value in (*slope, *offset, *power, saturation)), odd
