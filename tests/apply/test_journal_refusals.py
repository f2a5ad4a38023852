"""A journal or a kept plan that is torn, damaged or edited."""

from __future__ import annotations

import json

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute
from primecoat.errors import InputError


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
