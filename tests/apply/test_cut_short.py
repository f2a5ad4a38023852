"""A run that stopped before or after an operation: finished or taken back, by each kind of step.

The lock was given back here, so nothing of the crash but its journal is left; ``test_crash.py``
stops at every call.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.apply.worlds import World
from tests.plan import small as s

from primecoat import files, workflow
from primecoat.apply import execute, journal, undo
from primecoat.apply.journal import FILE, read_runs
from primecoat.errors import RefusedError
from primecoat.plan.operations import LinkImage, RenameImage, WriteScene

Does = TypeVar("Does", bound=LinkImage | RenameImage | WriteScene)

_CHANGES = ("link_new", "rename_new", "create_bytes", "replace_bytes")


class Stopped(BaseException):
    """The run went no further."""


def stop(world: World, number: int, *, after: bool) -> None:
    """Apply, and stop before or after an operation made its change."""
    count = [0]

    def stopping(call: Callable[..., Any]) -> Callable[..., Any]:
        def step(*arguments: Any, **options: Any) -> Any:
            count[0] += 1
            if count[0] > number and not after:
                raise Stopped
            result = call(*arguments, **options)
            if count[0] > number:
                raise Stopped
            return result

        return step

    with pytest.MonkeyPatch.context() as monkeypatch:
        for name in _CHANGES:
            monkeypatch.setattr(execute, name, stopping(getattr(execute, name)))
        with pytest.raises(Stopped):
            workflow.apply(world.plan)


def first(world: World, kind: type[Does]) -> tuple[int, Does]:
    """Return the first operation of a kind, and its number."""
    return next((n, o) for n, o in enumerate(world.plan.operations) if isinstance(o, kind))


@pytest.mark.parametrize("back", [False, True], ids=["finish", "back"])
@pytest.mark.parametrize("after", [False, True], ids=["before it", "after it"])
@pytest.mark.parametrize(
    "kind", ["tag", "tag in place", "tag embedded", "declare in place", "bake in place"]
)
def test_stopped_at_an_operation(new_world: NewWorld, kind: str, after: bool, back: bool) -> None:
    """At the first and at the last: the scene is wholly one of the two, and then goes on."""
    world = new_world(kind)
    before = s.content(world.folder)
    workflow.apply(world.plan)
    whole = s.content(world.folder)
    count = len(world.plan.operations)
    for number in {0, count - 1}:
        world = new_world(kind)
        stop(world, number, after=after)
        assert [run.open for run in read_runs(world.folder)] == [True]
        done = workflow.recover(world.plan.target, back=back)
        wanted = number + after if back else count - number - after
        assert (done.outcome, done.operations) == ("taken back" if back else "finished", wanted)
        assert s.content(world.folder) == (before if back else whole)
        assert workflow.recover(world.plan.target).outcome == "nothing to do"
        assert not (world.folder / ".primecoat" / "baked").exists()
        (run,) = read_runs(world.folder)
        assert (run.undone, run.stands) == (back, not back)
        if not back:
            for step in run.steps:
                facts = (world.folder / step.operation["target"]).stat()
                assert (step.device, step.inode) == (facts.st_dev, facts.st_ino)
                assert (step.size, step.modified_ns) == (facts.st_size, facts.st_mtime_ns)
            workflow.undo(world.plan.target)
            assert s.content(world.folder) == before


@pytest.mark.parametrize("how", ["hard link", "copy"])
def test_how_a_name_was_made_is_found_out(new_world: NewWorld, how: str) -> None:
    """For the one whose end was not told the journal says afterwards whether it shares bytes."""
    world = new_world("tag")
    number, operation = first(world, LinkImage)
    stop(world, number, after=True)
    target = world.folder / operation.target
    if how == "copy":
        target.unlink()
        shutil.copyfile(world.folder / operation.source, target)
    workflow.recover(world.plan.target)
    (run,) = read_runs(world.folder)
    assert next(step.method for step in run.steps if step.number == number) == how


@pytest.mark.parametrize(
    ("kind", "does"),
    [("tag", LinkImage), ("tag in place", RenameImage), ("declare in place", WriteScene)],
)
@pytest.mark.parametrize("back", [False, True], ids=["finish", "back"])
def test_a_file_that_is_neither_as_before_nor_as_after(
    new_world: NewWorld, kind: str, does: type[LinkImage | RenameImage | WriteScene], back: bool
) -> None:
    """Neither finished nor taken back over it; the refusal says what it is now."""
    world = new_world(kind)
    number, operation = first(world, does)
    stop(world, number, after=True)
    target = world.folder / operation.target
    old, mine = target.read_bytes(), world.folder.parent / "mine"
    if isinstance(operation, RenameImage):  # both names are there
        shutil.copyfile(target, world.folder / operation.source)
    target.rename(mine)
    target.write_bytes(old + b" ")
    size = len(old) + 1
    refused(
        lambda: workflow.recover(world.plan.target, back=back),
        world.folder,
        rf"neither as it was before nor as it was to become \(now {size} bytes",
    )


def test_nothing_to_recover(tmp_path: Path) -> None:
    """Without a state folder, a journal or a run nothing is done and nothing made."""
    scene = s.sheet(tmp_path / "tea.csv")
    assert workflow.recover(scene).outcome == "nothing to do"
    assert [path.name for path in tmp_path.iterdir()] == ["tea.csv"]
    (tmp_path / ".primecoat").mkdir()
    (tmp_path / ".primecoat" / ".primecoat-left.tmp").write_bytes(b"half")
    assert workflow.recover(scene).outcome == "nothing to do"
    assert list((tmp_path / ".primecoat").iterdir()) == []


@pytest.mark.parametrize("again", ["undo", "recover"])
def test_an_undo_that_met_trouble_goes_on_later(
    new_world: NewWorld, again: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that may not be written stops it with a word; it is not begun twice in the journal."""
    world = new_world("tag")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    remove = files.remove
    removed: list[Path] = []

    def twice(path: Path) -> None:
        if len(removed) == 2:
            raise OSError(30, "Read-only file system")
        removed.append(path)
        remove(path)

    monkeypatch.setattr(undo, "remove", twice)
    with pytest.raises(RefusedError, match=r"Stopped at .*: Read-only file system\. Mend"):
        workflow.undo(world.plan.target)
    monkeypatch.undo()
    (run,) = read_runs(world.folder)
    assert (run.undoing, [step.state for step in run.steps].count("undone")) == (True, 2)
    if again == "undo":
        workflow.undo(world.plan.target)
    else:
        assert workflow.recover(world.plan.target).outcome == "taken back"
    assert s.content(world.folder) == before
    lines = (world.folder / ".primecoat" / FILE).read_text().splitlines()
    assert sum('"state":"undo"' in line for line in lines) == 1


def test_an_original_that_was_put_back_by_hand(new_world: NewWorld) -> None:
    """What is as before already is left as it is, its time too, and the run is over."""
    world = new_world("declare in place")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    scene = world.plan.target
    scene.write_bytes(before["tea.csv"])  # type: ignore[arg-type]
    times = s.times(world.folder)
    assert workflow.undo(scene) == ()
    assert (s.content(world.folder), s.times(world.folder)) == (before, times)
    assert read_runs(world.folder)[0].undone


def test_a_journal_with_a_word_of_another_version(new_world: NewWorld) -> None:
    """What cannot be understood is not guessed at."""
    world = new_world("tag")
    workflow.apply(world.plan)
    file = world.folder / ".primecoat" / FILE
    run = read_runs(world.folder)[0].id
    journal.append(world.folder, run, "paused")
    with pytest.raises(Exception, match=r"Line \d+ of the journal .*'paused'"):
        workflow.undo(world.plan.target)
    assert file.read_text().endswith('"state":"paused"}\n')


@pytest.mark.parametrize("back", [False, True], ids=["finish", "back"])
@pytest.mark.parametrize("after", [False, True], ids=["before", "after"])
def test_stopped_at_a_renaming(new_world: NewWorld, after: bool, back: bool) -> None:
    """One of the names alone is there, which tells whether it took place."""
    world = new_world("tag in place")
    before = s.content(world.folder)
    number, operation = first(world, RenameImage)
    stop(world, number, after=after)
    assert (world.folder / operation.source).exists() != after
    workflow.recover(world.plan.target, back=back)
    assert (world.folder / operation.target).exists() != back
    if not back:
        workflow.undo(world.plan.target)
    assert s.content(world.folder) == before


def test_a_plan_that_does_nothing_leaves_nothing(tmp_path: Path) -> None:
    """Not so much as a state folder."""
    scene = s.sheet(tmp_path / "tea.csv")
    made = s.plan(scene, "declare")
    shutil.rmtree(tmp_path / ".primecoat", ignore_errors=True)
    assert made.operations == ()
    assert workflow.apply(made) == ()
    assert [path.name for path in tmp_path.iterdir()] == ["tea.csv"]


def test_a_scene_of_another_run_that_uses_other_pictures(tmp_path: Path) -> None:
    """It stands in nobody's way: the first is taken back while the second stays primed."""
    scenes = []
    for name in ("one", "two"):
        s.pictures(tmp_path, f"{name}.png")
        scenes.append(s.gltf(tmp_path / f"{name}.gltf", (f"{name}.png", "metal")))
    before = s.content(tmp_path)
    workflow.apply(s.plan(scenes[1]))
    between = s.content(tmp_path)
    workflow.apply(s.plan(scenes[0]))
    workflow.undo(scenes[0])
    assert s.content(tmp_path) == between
    workflow.undo(scenes[1])
    assert s.content(tmp_path) == before
