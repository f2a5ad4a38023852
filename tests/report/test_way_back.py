"""The command that the report ends with takes back what was applied with the report's roots."""

from __future__ import annotations

import shlex
from pathlib import Path

from tests.plan import small as s

from primecoat import workflow


def _told(folder: Path, *roots: Path, house: Path | None = None) -> list[str]:
    found = workflow.survey(folder / "a" / "b" / "tea.gltf", roots=roots, house=house, workers=1)
    page = workflow.report(found)
    (command,) = (p for p in page.split("<code>") if p.startswith("primecoat undo "))
    return shlex.split(command.split("</code>")[0].replace("&#x27;", "'").replace("&#39;", "'"))


def test_a_root_above_what_the_scene_reaches_is_told(tmp_path: Path) -> None:
    """And one that it reaches by itself, or that the house gives, is not."""
    folder = tmp_path / "two words"
    (folder / "a" / "b").mkdir(parents=True)
    s.gltf(folder / "a" / "b" / "tea.gltf")
    assert _told(folder) == ["primecoat", "undo", "tea.gltf"]
    assert _told(folder, folder / "a") == ["primecoat", "undo", "tea.gltf"]
    assert _told(folder, folder) == ["primecoat", "undo", "tea.gltf", "--root", str(folder)]
    house = folder / "primecoat.toml"
    house.write_text('roots = ["."]\n', encoding="utf-8")
    assert _told(folder, house=house) == ["primecoat", "undo", "tea.gltf"]
