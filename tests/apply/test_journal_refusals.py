"""A journal or a kept plan that is torn, damaged or edited."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute
from primecoat.errors import InputError
from primecoat.files import sha256_of_bytes
from primecoat.plan.operations import WriteScene, as_document


def test_a_journal_that_leads_out_is_not_followed(new_world: NewWorld) -> None:
    """Undo reads the journal; a root or a target outside is refused there as well."""
    world = new_world("tag")
    outside = world.folder.parent / "precious.png"
    workflow.apply(world.plan)
    outside.write_bytes(s.png(0))
    lines_file = world.folder / ".primecoat" / "journal.jsonl"
    text = lines_file.read_text()
    target = json.dumps(world.plan.operations[0].target)
    for old, new in ((target, '"../precious.png"'), ('"root":"."', '"root":"tex"')):
        assert old in text
        lines_file.write_text(text.replace(old, new))
        refused(lambda: workflow.undo(world.plan.target), world.folder, "outside|does not hold")
    assert outside.read_bytes() == s.png(0)


@pytest.mark.parametrize("act", [workflow.undo, workflow.recover])
@pytest.mark.parametrize("victim", [".profile", "start.sh", "tex/.start.png"])
def test_a_journal_from_elsewhere_replaces_nothing_else(
    act: Callable[[Path], object], victim: str, new_world: NewWorld
) -> None:
    """A scene that came with a journal, which knows what a file beside it holds, as of a default.

    It says that this file was written by a run, and what stood there before.
    """
    world = new_world("tag")
    state = world.folder / ".primecoat"
    (state / "before").mkdir(parents=True)
    theirs = b"theirs"
    (state / "before" / sha256_of_bytes(theirs)).write_bytes(theirs)
    file = world.folder / victim
    file.write_bytes(b"mine")
    written = WriteScene(
        source=victim,
        target=victim,
        source_sha256=sha256_of_bytes(theirs),
        target_sha256=sha256_of_bytes(b"mine"),
        replaces_sha256=sha256_of_bytes(theirs),
        edits=(),
    )
    begin: dict[str, Any] = {"plan": "0", "root": ".", "target": world.plan.target.name}
    intent: dict[str, Any] = {
        "n": 0,
        "after": sha256_of_bytes(b"mine"),
        "operation": as_document(written),
    }
    lines: list[tuple[str, dict[str, Any]]] = [("begin", begin), ("intent", intent)]
    lines += [("done", {"n": 0, "device": 0, "inode": 0, "method": "write"})]
    lines += [("end" if act is workflow.undo else "undo", {})]
    text = "".join(json.dumps({"run": "1", "state": s, **f}) + "\n" for s, f in lines)
    (state / "journal.jsonl").write_text(text, encoding="utf-8")
    refused(lambda: act(world.plan.target), world.folder, "is hidden|neither a scene nor")
    assert file.read_bytes() == b"mine"


def test_a_torn_last_line_is_cut_and_a_damaged_one_inside_is_an_error(
    new_world: NewWorld,
) -> None:
    """A crash tears the end only; damage elsewhere is named by its line, and nothing is done."""
    world = new_world("tag")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    lines_file = world.folder / ".primecoat" / "journal.jsonl"
    whole = lines_file.read_bytes()
    lines = whole.splitlines(keepends=True)
    for damaged in (
        b"{}\n",
        b"[]\n",
        b"7\n",
        b"\xff\xfe\n",
        lines[2][: len(lines[2]) // 2] + b"\n",
    ):
        lines_file.write_bytes(b"".join((*lines[:2], damaged, *lines[3:])))
        for act in (workflow.undo, workflow.recover, s.plan):
            with pytest.raises(InputError, match=r"Line 3 of the journal"):
                act(world.plan.target)
    assert s.content(world.folder) != before
    for cut in range(1, len(lines[-1]) + 1):
        lines_file.write_bytes(whole[: len(whole) - cut])
        assert workflow.recover(world.plan.target).outcome == "finished"
        assert lines_file.read_bytes() == whole
    workflow.undo(world.plan.target)
    assert s.content(world.folder) == before


def test_a_torn_line_harms_neither_reading_nor_the_next_run(new_world: NewWorld) -> None:
    """Right after a crash in its first line a plan can be made, the gate read, the plan applied."""
    world = new_world("tag")
    workflow.apply(world.plan)
    lines_file = world.folder / ".primecoat" / "journal.jsonl"
    first = lines_file.read_bytes().splitlines(keepends=True)[0]
    workflow.undo(world.plan.target)
    for cut in (1, len(first) // 2, len(first) - 2):
        lines_file.write_bytes(first[:-cut])
        again = s.plan(world.plan.target)
        assert again.operations == world.plan.operations
        assert len(workflow.apply(again)) == len(again.operations)
        assert lines_file.read_bytes().count(b'"begin"') == 1
        assert workflow.gate(
            workflow.survey(world.folder / "tea.primed.gltf", verify=True, workers=1)
        ).open
        workflow.undo(world.plan.target)


def test_a_kept_plan_that_was_edited_is_not_finished(
    new_world: NewWorld, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Recovery finishes the plan that was begun and no other; going back needs no plan."""
    world = new_world("tag")
    before = s.content(world.folder)
    monkeypatch.setattr(execute, "create_bytes", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        workflow.apply(world.plan)
    monkeypatch.undo()
    (kept,) = (world.folder / ".primecoat" / "plans").iterdir()
    kept.write_text(kept.read_text().replace("tea.primed.gltf", "mine.gltf"))
    refused(lambda: workflow.recover(world.plan.target), world.folder, "not the one")
    workflow.recover(world.plan.target, back=True)
    assert s.content(world.folder) == before
