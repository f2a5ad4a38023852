"""From what a scene says to files on disk: every way a path can be wrong, and the roots."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from tests.scenes.builders import found_for

from primecoat.scenes.resolve import default_roots

posix_only = pytest.mark.skipif(os.name == "nt", reason="Windows resolves these names in its way")


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """A scene's folder with pictures, beside a folder that the scene may not reach."""
    folder = tmp_path / "Scene"
    (folder / "Textures").mkdir(parents=True)
    (tmp_path / "secret").mkdir()
    for name in (
        "cup.png",
        "Textures/Bowl.PNG",
        "Textures/tray.1001.png",
        "Textures/tray.1002.png",
        "Textures/tray.1999.png",
        "Textures/tray.2001.png",
        "Textures/tray.101.png",
        "Textures/tray.10011.png",
        "Textures/wall.u1_v1.png",
        "Textures/wall.u10_v2.png",
        "Textures/fire.0001.png",
        "Textures/fire.0012.png",
        "Textures/fire.001.png",
        "../secret/cup.png",
    ):
        (folder / name).write_bytes(b"picture")
    return folder


def names(resolved) -> list[str]:
    return [file.name for file in resolved.files]


@pytest.mark.parametrize(
    "text", ["cup.png", "./cup.png", "Textures/../cup.png", "Textures//../cup.png"]
)
def test_one_file(text: str, scene: Path):
    """However a path is written, it finds the file, without a finding."""
    found = found_for(text, scene)
    assert (found.files, found.problem) == ((scene / "cup.png",), None)


def test_backslashes(scene: Path):
    """A path with backslashes is found where it would be with slashes, and told elsewhere."""
    found = found_for("Textures\\Bowl.PNG", scene)
    assert names(found) == ["Bowl.PNG"]
    if os.name != "nt":
        assert found.problem is not None
        assert found.problem.name == "reference_is_not_portable"
        assert "Write Textures/Bowl.PNG" in found.problem.remedy


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Textures/tray.<UDIM>.png", ["tray.1001.png", "tray.1002.png", "tray.1999.png"]),
        ("Textures/wall.<UVTILE>.png", ["wall.u10_v2.png", "wall.u1_v1.png"]),
        ("Textures/fire.####.png", ["fire.0001.png", "fire.0012.png"]),
        ("Textures/fire.###.png", ["fire.001.png"]),
        ("Textures/fire.%04d.png", ["fire.0001.png", "fire.0012.png"]),
    ],
)
def test_placeholders(text: str, expected: list[str], scene: Path):
    """A placeholder finds all its tiles or frames and no other file; it stays in the path."""
    found = found_for(text, scene)
    assert (names(found), found.problem) == (expected, None)
    assert found.path == scene / text


@pytest.mark.parametrize("text", ["Textures/tray.<udim>.png", "Textures/tray.<Udim>.png"])
def test_placeholder_in_wrong_case(text: str, scene: Path):
    """``<udim>`` is no placeholder (OpenUSD compares the case): it finds nothing, and says so."""
    found = found_for(text, scene)
    assert found.files == ()
    assert found.problem is not None
    assert (found.problem.name, found.problem.severity) == ("file_is_missing", "error")
    assert text in found.problem.message


def test_placeholder_without_tiles(scene: Path):
    """A placeholder for which there is no tile at all is a missing file."""
    found = found_for("Textures/floor.<UDIM>.png", scene)
    assert found.problem is not None
    assert found.problem.name == "file_is_missing"


def test_name_with_placeholder_letters(scene: Path):
    """A file whose own name holds a number sign is that file, not a set."""
    (scene / "no #1.png").write_bytes(b"")
    assert names(found_for("no #1.png", scene)) == ["no #1.png"]


@posix_only
@pytest.mark.parametrize(
    ("text", "real"),
    [
        ("Cup.png", "cup.png"),
        ("cup.PNG", "cup.png"),
        ("textures/Bowl.PNG", "Textures/Bowl.PNG"),
        ("TEXTURES/bowl.png", "Textures/Bowl.PNG"),
        ("textures\\bowl.png", "Textures/Bowl.PNG"),
        ("textures/tray.<UDIM>.png", "Textures/tray.1001.png"),
    ],
)
def test_case_mismatch(text: str, real: str, scene: Path):
    """A path that differs only in case, in file or folder, is found; the finding has the name."""
    if (scene / "CUP.PNG").exists():
        pytest.skip("this file system does not tell case apart")
    found = found_for(text, scene)
    assert found.files[0] == scene / real
    assert found.problem is not None
    assert found.problem.name == "file_name_differs_in_case"
    assert real in found.problem.message
    assert real in found.problem.remedy


@posix_only
def test_two_names_that_differ_in_case(scene: Path):
    """Two files that differ only in case are never taken for one another."""
    (scene / "Wood.png").write_bytes(b"1")
    (scene / "wood.PNG").write_bytes(b"2")
    if len(list(scene.glob("[Ww]ood.*"))) < 2:
        pytest.skip("this file system does not tell case apart")
    assert names(found_for("Wood.png", scene)) == ["Wood.png"]
    assert names(found_for("wood.PNG", scene)) == ["wood.PNG"]
    found = found_for("WOOD.png", scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_missing"


@pytest.mark.parametrize(
    "text",
    ["../secret/cup.png", "Textures/../../secret/cup.png", "..\\secret\\cup.png", "../../x.png"],
)
def test_way_out(text: str, scene: Path):
    """A path that climbs out of the root is not opened; the finding names the root to add."""
    found = found_for(text, scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_outside_the_root"
    assert found.path is not None
    assert f"--root {found.path.parent}" in found.problem.remedy


@posix_only
@pytest.mark.parametrize(
    "text", ["/etc/passwd", "//server/share/cup.png", "\\\\server\\a\\cup.png"]
)
def test_absolute_path(text: str, scene: Path):
    """An absolute path or a network share outside the roots is not opened."""
    found = found_for(text, scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_outside_the_root"


def test_absolute_path_inside(scene: Path):
    """An absolute path inside the root is found."""
    assert found_for(str(scene / "cup.png"), scene).files == (scene / "cup.png",)


def test_second_root(scene: Path):
    """A further root opens what lies in it."""
    found = found_for("../secret/cup.png", scene, scene, scene.parent / "secret")
    assert (names(found), found.problem) == (["cup.png"], None)


def test_root_is_not_a_prefix_of_text(scene: Path):
    """A folder whose name only begins like the root's is outside."""
    twin = scene.with_name("Scene2")
    twin.mkdir()
    (twin / "cup.png").write_bytes(b"")
    found = found_for("../Scene2/cup.png", scene)
    assert found.problem is not None
    assert found.problem.name == "file_is_outside_the_root"


@pytest.mark.parametrize(
    ("target", "name", "words"),
    [
        ("../secret/cup.png", "file_is_outside_the_root", "a link to"),
        ("nowhere.png", "file_is_missing", "leads nowhere"),
        ("link.png", "file_is_missing", "circle"),
        ("Textures", "file_is_missing", "a folder, where a picture is needed"),
    ],
)
@posix_only
def test_links(target: str, name: str, words: str, scene: Path):
    """A link out of the root, to nothing, to itself or to a folder is a finding, not opened."""
    (scene / "link.png").symlink_to(target)
    found = found_for("link.png", scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == name
    assert words in found.problem.message


@posix_only
def test_link_inside(scene: Path):
    """A link to a file inside the root is that picture, by its own name."""
    (scene / "link.png").symlink_to("cup.png")
    found = found_for("link.png", scene)
    assert (found.files, found.problem) == ((scene / "link.png",), None)


@posix_only
def test_linked_folder_out_of_the_root(scene: Path):
    """A path through a linked folder that leaves the root is not opened."""
    (scene / "maps").symlink_to("../secret")
    found = found_for("maps/cup.png", scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_outside_the_root"
    assert str(scene.parent / "secret") in found.problem.remedy


@posix_only
def test_tile_that_is_a_link_out(scene: Path):
    """One tile of a set that leads out of the root stops the set."""
    (scene / "Textures" / "tray.1003.png").symlink_to("../../secret/cup.png")
    found = found_for("Textures/tray.<UDIM>.png", scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_outside_the_root"


@posix_only
def test_pipe(scene: Path):
    """A pipe is no picture: opening it would wait for ever."""
    os.mkfifo(scene / "pipe.png")
    found = found_for("pipe.png", scene)
    assert found.files == ()
    assert found.problem is not None
    assert "no ordinary file" in found.problem.message


@pytest.mark.parametrize(
    "text",
    [
        "https://example.org/cup.png",
        "HTTP://example.org/cup.png",
        "file:///etc/passwd",
        "ftp:cup.png",
    ],
)
def test_address(text: str, scene: Path):
    """An address is never fetched, also not ``file:``; the remedy says what to do."""
    found = found_for(text, scene)
    assert (found.path, found.files) == (None, ())
    assert found.problem is not None
    assert found.problem.name == "reference_is_not_a_local_file"


@posix_only
@pytest.mark.parametrize("text", ["C:\\maps\\cup.png", "d:/maps/cup.png"])
def test_drive_letter(text: str, scene: Path):
    """A path on a drive is told as such on a system without drives."""
    found = found_for(text, scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_missing"
    assert "names a drive" in found.problem.message
    assert "Likely meant is cup.png" in found.problem.message
    assert "write cup.png in the scene" in found.problem.remedy


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\x00",
        "a\x00.png",
        "gone.png",
        "gone/cup.png",
        "cup.png/x.png",
        "\ud800.png",
        "\ud800/x",
    ],
)
def test_nothing_there(text: str, scene: Path):
    """Empty, with a NUL, with half a character, or simply missing: a finding, never a crash."""
    found = found_for(text, scene)
    assert found.files == ()
    assert found.problem is not None
    assert found.problem.name == "file_is_missing"


def test_very_long_name(scene: Path):
    """A name longer than any system takes is a missing file."""
    for text in ("x" * 5000 + ".png", "y" * 5000 + "/x.png", "z/" * 3000 + "x.png"):
        found = found_for(text, scene)
        assert found.problem is not None
        assert found.problem.name == "file_is_missing"


@posix_only
def test_name_with_a_line_break(scene: Path):
    """A line break in a name is part of the name, and does not break the message's line."""
    (scene / "tex\n.png").write_bytes(b"")
    assert names(found_for("tex\n.png", scene)) == ["tex\n.png"]
    found = found_for("gone\n.png", scene)
    assert found.problem is not None
    assert "\n" not in found.problem.as_document()["message"]


@pytest.mark.parametrize(
    ("references", "parent"),
    [
        ([], False),
        (["a.png", "b/c.png"], False),
        (["a.png", "../maps/b.png"], True),
        (["..\\maps\\b.png"], True),
        (["a.png", "../../far/b.png"], False),
        (["../maps/b.png", "../../far/b.png"], False),
        (["/etc/passwd"], False),
        ([""], False),
    ],
)
def test_default_roots(references: list[str], parent: bool, tmp_path: Path):
    """The root is the scene's folder, and its parent if some references need it and all fit."""
    folder = tmp_path / "scene"
    assert default_roots(folder, references) == ((tmp_path if parent else folder),)


@posix_only
def test_the_top_is_never_a_root():
    """The root of the whole disk never becomes the default root."""
    assert default_roots(Path("/scene"), ["../etc/passwd"]) == (Path("/scene"),)
