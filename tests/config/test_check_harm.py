"""A config check does no harm: what is no config, what has no end, what lies outside."""

from __future__ import annotations

import os

import PyOpenColorIO as ocio
import pytest
from tests.config.check_makers import changed, cube, healthy

from primecoat.config.check import check_config
from primecoat.errors import InputError


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"hello",
        b"\0\1\2",
        b"\xff\xfe\x00",
        b"[1, 2]",
        b"{" * 5000,
        b"roles: {}\n",
        b"---\n...\n",
    ],
)
def test_what_is_no_config_is_wrong_input(content, tmp_path):
    path = tmp_path / "x.ocio"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        check_config(str(path))
    assert len(str(caught.value).splitlines()) == 1


def test_absent_folder_and_packed_config(tmp_path):
    packed = tmp_path / "x.ocioz"
    packed.write_bytes(b"PK")
    for name in (tmp_path / "gone.ocio", tmp_path, packed, "studio-config-v9"):
        with pytest.raises(InputError):
            check_config(str(name))


HEAD = "ocio_profile_version: 2.5\n"


@pytest.mark.parametrize(
    "text",
    [
        HEAD + "roles: &a {x: *a}\n",
        HEAD + "colorspaces:\n - !<ColorSpace>\n   name: x\n   to_reference: &g !<GroupTransform>\n"
        "     children: [*g]\n",
        HEAD + "a: &a [x]\nb: &b [*a, *a]\nsearch_path: *b\n",
        HEAD + "# " + "x" * (17 * 2**20),
    ],
)
def test_what_grows_without_end_is_refused(text, tmp_path):
    path = tmp_path / "x.ocio"
    path.write_text(text, "utf-8")
    with pytest.raises(InputError):
        check_config(str(path))


@pytest.mark.parametrize(
    "nested", [HEAD + "description: " + "[" * 100000, HEAD + "roles: [1]\n", HEAD]
)
def test_broken_config_is_a_finding(nested, tmp_path):
    path = tmp_path / "x.ocio"
    path.write_text(nested, "utf-8")
    found = check_config(str(path))
    assert not found.sound
    assert found.findings[-1].code == "PC525"


def test_spaces_that_need_each_other_are_a_finding(tmp_path):
    make = changed(
        ("!<FileTransform> {src: curve.spi1d}", "!<ColorSpaceTransform> {src: Print, dst: ACEScg}"),
        (
            "!<FileTransform> {src: print.cube, interpolation: tetrahedral}",
            "!<ColorSpaceTransform> {src: ACEScg, dst: Glaze}",
        ),
    )
    assert "PC518" in {f.code for f in check_config(str(make(tmp_path))).findings}


@pytest.mark.parametrize("absolute", [True, False])
def test_files_outside_are_not_opened(absolute, tmp_path):
    """A file that is a good LUT and lies outside: reported, and not read."""
    outside = tmp_path / "elsewhere" / "secret.cube"
    outside.parent.mkdir()
    outside.write_text(cube(), "utf-8")
    source = str(outside) if absolute else "../../elsewhere/secret.cube"
    path = changed(("src: warm.cube", f"src: {source}"))(tmp_path / "config")
    os.utime(outside, ns=(1, 1))
    found = check_config(str(path)).findings
    assert [f.code for f in found] == ["PC515"]
    assert "not opened" in found[0].message
    if outside.stat().st_atime_ns != 1:
        pytest.fail("the file outside was read")


def test_link_out_of_the_folder_is_not_followed(tmp_path):
    outside = tmp_path / "elsewhere.cube"
    outside.write_text(cube(), "utf-8")
    path = healthy(tmp_path / "config")
    warm = path.parent / "luts" / "warm.cube"
    warm.unlink()
    warm.symlink_to(outside)
    assert [f.code for f in check_config(str(path)).findings] == ["PC515"]


def test_search_path_outside_is_declared_and_so_opened(tmp_path):
    path = changed(('"luts:', '"../shared:luts:'))(tmp_path / "config")
    shared = tmp_path / "shared"
    shared.mkdir()
    (path.parent / "luts" / "warm.cube").rename(shared / "warm.cube")
    assert check_config(str(path)).findings == ()


def test_mended_file_is_read_anew(tmp_path):
    path = healthy(tmp_path)
    lut = tmp_path / "luts" / "second" / "curve.spi1d"
    good = lut.read_text("utf-8")
    lut.write_text("this is no LUT", "utf-8")
    assert {f.code for f in check_config(str(path)).findings} == {"PC518"}
    lut.write_text(good, "utf-8")
    assert check_config(str(path)).findings == ()


def test_inverse_of_a_3d_lut_in_use_is_told_however_it_is_written(tmp_path):
    make = changed(("src: warm.cube", "src: warm.cube, direction: inverse"))
    found = check_config(str(make(tmp_path))).findings
    assert {f.code for f in found} == {"PC514"}
    assert any("'warm'" in f.message for f in found)


def test_library_log_is_put_back(tmp_path, capfd):
    check_config(str(changed(("encoding: scene-linear", "encodign: x"))(tmp_path)))
    level = ocio.GetLoggingLevel()
    assert level == ocio.LOGGING_LEVEL_INFO
    ocio.LogMessage(ocio.LOGGING_LEVEL_WARNING, "heard again")
    assert "heard again" in capfd.readouterr().err
