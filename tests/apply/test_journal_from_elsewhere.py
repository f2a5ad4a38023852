"""Journals that no run of ours writes: each fault is told by its line, and nothing is looked at."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute, journal
from primecoat.apply.recover import recover
from primecoat.errors import InputError, RefusedError
from primecoat.files import sha256_of
from primecoat.plan.operations import RenameImage, WriteScene, as_document

Line = dict[str, Any]
BEGIN: Line = {"state": "begin", "plan": "0", "root": ".", "target": "tea.gltf"}
END: Line = {"state": "end"}


def intent(operation: WriteScene | RenameImage, n: object = 0, **changes: object) -> Line:
    document = as_document(operation) | changes
    return {"state": "intent", "n": n, "after": operation.target, "operation": document}


def written(home: Path, *lines: Line) -> Path:
    """Write a journal of one run; return the folder that it lies in."""
    state = home / ".primecoat"
    state.mkdir(parents=True, exist_ok=True)
    text = "".join(json.dumps({"run": "1", **line}) + "\n" for line in lines)
    (state / journal.FILE).write_text(text, encoding="utf-8")
    return home


RENAME = RenameImage(source="cup.png", target="pot.png", sha256="0", reading="data")
DONE: Line = {"state": "done", "n": 0, "device": 0, "inode": 0, "method": "rename"}


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (intent(RENAME, float("inf")), "infinity"),
        (intent(RENAME, target=7), "no name or path: 7"),
        (intent(RENAME, source="a\0b"), "no name or path"),
        (BEGIN | {"plan": ["0"]}, "no name or path"),
        (DONE | {"size": 2**63}, "no file has such a size or time"),
        (DONE | {"modified_ns": -(2**63)}, "no file has such a size or time"),
        ({"state": "\u202enaelc\n"}, r"unknown state .*u202enaelc"),
    ],
)
def test_a_line_that_no_run_writes(tmp_path: Path, line: Line, words: str) -> None:
    written(tmp_path, BEGIN, intent(RENAME), line, END)
    with pytest.raises(InputError, match=rf"Line 3 of the journal .*{words}") as told:
        journal.read_runs(tmp_path)
    assert str(told.value).isprintable()


def test_a_deep_line(tmp_path: Path) -> None:
    written(tmp_path, BEGIN)
    with (tmp_path / ".primecoat" / journal.FILE).open("a", encoding="utf-8") as stream:
        stream.write("[" * 100_000 + "\n")
    with pytest.raises(InputError, match="Line 2 of the journal"):
        journal.read_runs(tmp_path)


def test_a_hash_that_is_a_path_leads_nowhere(tmp_path: Path) -> None:
    for place in (journal.plan_file, journal.before_file):
        for name in ("../../mine", "", "0" * 65, "AB"):
            with pytest.raises(RefusedError, match="where the hash of a file belongs"):
                place(tmp_path, name)


def test_a_run_without_its_plan_can_only_go_back(
    new_world: NewWorld, monkeypatch: pytest.MonkeyPatch
) -> None:
    world = new_world("tag")
    before = s.content(world.folder)
    with monkeypatch.context() as patched:
        patched.setattr(execute, "create_bytes", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            workflow.apply(world.plan)
    (plan,) = (world.folder / ".primecoat" / "plans").iterdir()
    plan.unlink()
    refused(lambda: workflow.recover(world.plan.target), world.folder, r"is gone.*--back")
    workflow.recover(world.plan.target, back=True)
    assert s.content(world.folder) == before


@pytest.mark.skipif(os.name == "nt", reason="needs pipes")
def test_a_pipe_in_the_place_of_a_file_is_not_waited_for(tmp_path: Path) -> None:
    """Neither where the journal says that it was made, nor where a plan found a picture."""
    s.pictures(tmp_path / "tea", "cup.png")
    scene = s.gltf(tmp_path / "tea" / "tea.gltf", ("cup.png", "base_color"))
    made = s.plan(scene)
    cup = scene.with_name("cup.png")
    cup.unlink()
    os.mkfifo(cup)
    with pytest.raises(RefusedError, match=r"cup\.png is no ordinary file any more"):
        workflow.apply(made)
    scene_hash = sha256_of(scene)
    over = WriteScene(
        source="tea.gltf",
        target="pot.gltf",
        source_sha256=scene_hash,
        target_sha256="1",
        replaces_sha256="0",
        edits=(),
    )
    os.mkfifo(scene.with_name("pot.gltf"))
    written(scene.parent, BEGIN, intent(over))
    with pytest.raises(RefusedError, match="another kind of file"):
        recover(scene.parent, reach=(scene.parent,), back=True)


def test_scenes_that_other_journals_name_outside_are_not_read(tmp_path: Path) -> None:
    """A run is taken back only if no scene of another run uses its pictures; within the root."""
    s.pictures(tmp_path / "tea", "cup.png")
    scene = s.gltf(tmp_path / "tea" / "tea.gltf", ("cup.png", "base_color"))
    workflow.apply(s.plan(scene))
    outside = s.gltf(tmp_path / "mine.gltf")
    outside.chmod(0)
    for number, (root, target) in enumerate(((".", "x.png"), ("../..", "mine.gltf"))):
        other = WriteScene(
            source=target,
            target=target,
            source_sha256="0",
            target_sha256="0",
            replaces_sha256="",
            edits=(),
        )
        home = scene.parent / f"other{number}"
        written(home, BEGIN | {"root": root}, intent(other), DONE, END)
    assert workflow.undo(scene, roots=(scene.parent,))
