"""Fourteen broken paths: each found with its cause and the file that was likely meant.

The causes are those that scenes moved between systems are known for (common practice, no source).
"""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

import pytest
from tests.scenes.builders import found_for

pytestmark = pytest.mark.skipif(os.name == "nt", reason="written for systems that tell case apart")

NFD = unicodedata.normalize("NFD", "théière.png")

BROKEN = {
    "case of the file": ("maps/Cup.png", "PC402", "maps/cup.png", "systems"),
    "case of a folder": ("Maps/cup.png", "PC402", "maps/cup.png", "systems"),
    "backslashes": ("maps\\cup.png", "PC411", "maps/cup.png", "backslashes"),
    "drive letter": ("C:\\work\\maps\\cup.png", "PC401", "maps/cup.png", "place or machine"),
    "network share": ("\\\\nas\\tea\\maps\\cup.png", "PC403", "maps/cup.png", "machine"),
    "another machine": ("/volumes/tea/maps/cup.png", "PC403", "maps/cup.png", "machine"),
    "percent-encoded": ("maps/tea%20pot.png", "PC401", "maps/tea pot.png", "percent-encoded"),
    "other Unicode form": (f"maps/{NFD}", "PC401", "maps/théière.png", "Unicode form"),
    "misspelt UDIM": ("maps/tray.<udim>.png", "PC401", "maps/tray.<UDIM>.png", "capitals"),
    "misspelt UVTILE": ("maps/wall.<uvTile>.png", "PC401", "maps/wall.<UVTILE>.png", "capitals"),
    "frame digits": ("maps/steam.####.png", "PC401", "maps/steam.001.png", "number of digits"),
    "other ending": ("maps/bowl.jpg", "PC401", "maps/bowl.png", "another ending"),
    "moved": ("spoon.png", "PC401", "old/things/spoon.png", "another folder"),
    "blank at the end": ("maps/cup.png ", "PC401", "maps/cup.png", "blank"),
}


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """Return the folder of a scene with its pictures."""
    folder = tmp_path / "tea"
    names = ("cup.png", "tea pot.png", "théière.png", "tray.1001.png", "bowl.png", "steam.001.png")
    for name in (*(f"maps/{n}" for n in names), "maps/wall.u1_v1.png", "old/things/spoon.png"):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"picture")
    return folder


@pytest.mark.parametrize("cause", BROKEN)
def test_cause_and_candidate(cause: str, scene: Path) -> None:
    """The finding has the right code, names the cause, and the path that should be written."""
    text, code, meant, word = BROKEN[cause]
    problem = found_for(text, scene).problem
    assert problem is not None
    assert (problem.code, meant in problem.message + problem.remedy) == (code, True)
    assert word in problem.message
    assert found_for(meant, scene).problem is None


def test_nothing_is_made_up(scene: Path) -> None:
    """Where nothing is alike, no candidate is named; where several are, that is said."""
    problem = found_for("maps/nowhere.png", scene).problem
    assert problem is not None
    assert "Likely" not in problem.message
    (scene / "new").mkdir()
    (scene / "new/spoon.png").write_bytes(b"picture")
    problem = found_for("spoon.png", scene).problem
    assert problem is not None
    assert "2 files of this name" in problem.message


@pytest.mark.parametrize(
    ("text", "variable"),
    [
        ("$TEX/oak.png", "$TEX"),
        ("maps/${TEX_2}/oak.png", "${TEX_2}"),
        ("%TEX%\\oak.png", "%TEX%"),
        ("maps/oak.%04d.png", ""),
        ("maps/100%/oak.png", ""),
        ("maps/$/oak.png", ""),
    ],
)
def test_a_variable_is_told(text: str, variable: str, scene: Path) -> None:
    """Names as the POSIX shell and the Windows command line write variables; not frame numbers.

    Source: POSIX.1-2017, Shell Command Language, 2.6.2; the Windows form is common practice.
    """
    problem = found_for(text, scene).problem
    assert problem is not None
    assert problem.code == "PC401"
    assert ("looks like a variable" in problem.message) == bool(variable)
    assert (f"the path itself in place of {variable}," in problem.remedy) == bool(variable)


def test_a_variable_whose_file_is_here_is_found(scene: Path) -> None:
    """The file of the same name is offered; a folder that is really called so is no variable."""
    problem = found_for("$TEX/spoon.png", scene).problem
    assert problem is not None
    assert "write old/things/spoon.png in the scene" in problem.remedy
    (scene / "$TEX").mkdir()
    (scene / "$TEX/ladle.png").write_bytes(b"picture")
    assert found_for("$TEX/ladle.png", scene).problem is None


@pytest.mark.parametrize("text", ["\\\\nas\\tea\\ladle.png", "//nas/tea/maps/ladle.png"])
def test_a_windows_share_is_told(text: str, scene: Path) -> None:
    r"""Named \\server\share, with either slash; no root is offered, for none leads there.

    Source: the form is that of [MS-DTYP], 2.2.57 (UNC), from memory.
    """
    problem = found_for(text, scene).problem
    assert problem is not None
    assert problem.code == "PC403"
    assert f"a share of a Windows network, {text[:9]}," in problem.message
    assert "--root" not in problem.remedy
    assert "Mount the share" in problem.remedy


def test_the_search_does_not_leave_the_roots(scene: Path) -> None:
    """A file beside the root is never named."""
    (scene.parent / "ladle.png").write_bytes(b"picture")
    problem = found_for("ladle.png", scene).problem
    assert problem is not None
    assert "ladle.png is not there." in problem.message
    assert "Likely" not in problem.message
