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


def test_the_search_does_not_leave_the_roots(scene: Path) -> None:
    """A file beside the root is never named."""
    (scene.parent / "ladle.png").write_bytes(b"picture")
    problem = found_for("ladle.png", scene).problem
    assert problem is not None
    assert "ladle.png is not there." in problem.message
    assert "Likely" not in problem.message
