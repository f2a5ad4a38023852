"""Stopped at every step of apply, undo and recover: the scene is whole, old or new, every time."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.apply import crash
from tests.apply.worlds import World
from tests.plan import small as s

from primecoat import workflow
from primecoat.documents import dumps
from primecoat.errors import UseError

NewWorld = Callable[[str], World]
Content = dict[str, bytes | str]

KINDS = ("tag", "tag in place", "tag embedded in place", "declare in place", "bake in place")
NESTED = ("tag in place", "tag embedded in place", "declare in place")

RUNS: Counter[str] = Counter()


@pytest.fixture
def new_world(templates: dict[str, World]) -> Iterator[NewWorld]:
    """Return a maker of fresh scenes, in memory where that can be: there are thousands of them."""
    numbers = itertools.count()
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield lambda kind: templates[kind].copy(Path(folder) / str(next(numbers)) / "scene")


@pytest.fixture(scope="module")
def dead() -> int:
    """Return the number of a process that has ended."""
    return crash.ended_process()


@pytest.fixture(scope="module", autouse=True)
def tell_the_number_of_runs() -> Iterator[None]:
    """Hold that the simulation was no handful, and print how large it was (`pytest -s`)."""
    RUNS.clear()
    yield
    print("\ncrash runs:", dict(RUNS), "in all", sum(RUNS.values()))


@pytest.fixture(autouse=True)
def no_waiting_for_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sync nothing: a power cut is simulated by cutting files, not by the disk."""
    monkeypatch.setattr(os, "fsync", lambda _: None)


class Case:
    """One kind of scene, what it is before and after, and fresh copies of it to crash."""

    def __init__(self, kind: str, new_world: NewWorld) -> None:
        self.kind, self.new_world = kind, new_world
        world = new_world(kind)
        self.before = s.content(world.folder)
        workflow.apply(world.plan)
        self.after = s.content(world.folder)

    def originals(self, world: World) -> None:
        """Hold that every byte of the artist's is under some name, or kept aside."""
        here = set(s.content(world.folder).values())
        here |= {kept.read_bytes() for kept in world.folder.glob(".primecoat/before/*")}
        assert set(self.before.values()) <= here

    def crashed_in_apply(self, step: int, torn: bool, dead: int) -> World:
        """Return a fresh scene whose apply was stopped at a step."""
        world = self.new_world(self.kind)
        crash.run(lambda: workflow.apply(world.plan), stop_at=step, torn=torn, dead=dead)
        self.originals(world)
        return world

    def whole(self, world: World, *wanted: Content) -> None:
        """Hold that the scene is wholly one of these, all originals are there, no lock is left."""
        self.originals(world)
        found = s.content(world.folder)
        assert found in wanted, f"{sorted(found)} is neither of {[sorted(w) for w in wanted]}"
        assert not (world.folder / ".primecoat" / "lock").exists()

    def goes_there_and_back(self, world: World) -> None:
        """Hold that the scene can be primed from here, taken back, and is as it was."""
        workflow.apply(world.plan)
        self.whole(world, self.after)
        workflow.undo(world.plan.target)
        self.whole(world, self.before)
        with pytest.raises(UseError, match="nothing to take back"):
            workflow.undo(world.plan.target)


def steps_of(act: Callable[[], object], dead: int) -> int:
    """Return how many steps an act takes."""
    return crash.run(act, dead=dead).steps


@pytest.mark.parametrize("torn", [False, True], ids=["killed", "power cut"])
@pytest.mark.parametrize("back", [False, True], ids=["finish", "back"])
@pytest.mark.parametrize("kind", KINDS)
def test_apply_stopped_at_every_step(
    new_world: NewWorld, kind: str, back: bool, torn: bool, dead: int
) -> None:
    """Recovery finishes the run or takes it back; twice is harmless; undo works afterwards."""
    case = Case(kind, new_world)
    world = new_world(kind)
    count = steps_of(lambda: workflow.apply(world.plan), dead)
    assert count > 20
    for step in range(count):
        world = case.crashed_in_apply(step, torn, dead)
        first = workflow.recover(world.plan.target, back=back)
        begun = first.outcome != "nothing to do"
        found = s.content(world.folder)
        if begun:
            case.whole(world, case.before if back else case.after)
        else:
            case.whole(world, case.before, case.after)
        again = workflow.recover(world.plan.target, back=back)
        assert (again.outcome, again.operations) == ("nothing to do", 0)
        assert s.content(world.folder) == found
        if found == case.after or step % 4 == 0:
            case.goes_there_and_back(world)
        RUNS["apply"] += 1


@pytest.mark.parametrize("torn", [False, True], ids=["killed", "power cut"])
@pytest.mark.parametrize("by", ["recover", "undo again"])
@pytest.mark.parametrize("kind", KINDS)
def test_undo_stopped_at_every_step(
    new_world: NewWorld, kind: str, by: str, torn: bool, dead: int
) -> None:
    """An undo that was cut short is finished by recover, or by undo itself."""
    case = Case(kind, new_world)
    world = new_world(kind)
    workflow.apply(world.plan)
    count = steps_of(lambda: workflow.undo(world.plan.target), dead)
    for step in range(count):
        world = new_world(kind)
        workflow.apply(world.plan)
        crash.run(
            lambda: workflow.undo(world.plan.target),  # noqa: B023
            stop_at=step,
            torn=torn,
            dead=dead,
        )
        case.originals(world)
        if by == "recover":
            workflow.recover(world.plan.target)
            case.whole(world, case.before, case.after)
            assert workflow.recover(world.plan.target).outcome == "nothing to do"
        if s.content(world.folder) != case.before:
            workflow.undo(world.plan.target)
        workflow.recover(world.plan.target)
        case.whole(world, case.before)
        if step % 4 == 0:
            case.goes_there_and_back(world)
        RUNS["undo"] += 1


@pytest.mark.parametrize("back", [False, True], ids=["finish", "back"])
@pytest.mark.parametrize("kind", NESTED)
def test_recover_stopped_at_every_step(
    new_world: NewWorld, kind: str, back: bool, dead: int
) -> None:
    """A crash within recovery from a crash is recovered from, in either direction."""
    case = Case(kind, new_world)
    world = new_world(kind)
    count = steps_of(lambda: workflow.apply(world.plan), dead)
    for first in range(3, count, 7):
        world = case.crashed_in_apply(first, False, dead)
        probe = steps_of(lambda: workflow.recover(world.plan.target, back=back), dead)  # noqa: B023
        for second in range(probe):
            world = case.crashed_in_apply(first, False, dead)
            crash.run(
                lambda: workflow.recover(world.plan.target, back=back),  # noqa: B023
                stop_at=second,
                torn=bool(second % 2),
                dead=dead,
            )
            case.originals(world)
            workflow.recover(world.plan.target, back=bool(second % 3) != back)
            case.whole(world, case.before, case.after)
            assert workflow.recover(world.plan.target).outcome == "nothing to do"
            RUNS["recover"] += 1
        case.goes_there_and_back(world)


_APPLY_AND_DIE = """
import os, sys
from pathlib import Path
from primecoat import files, workflow
left = int(sys.argv[2])

def dying(call):
    def step(*arguments, **options):
        global left
        left -= 1
        if left < 0:
            os._exit(9)
        return call(*arguments, **options)
    return step

for name in ("fsync", "link", "rename", "replace", "unlink", "mkdir", "chmod"):
    setattr(os, name, dying(getattr(os, name)))
files._rename_if_free = dying(files._rename_if_free)
workflow.apply(Path(sys.argv[1]))
"""


@pytest.mark.parametrize("step", [4, 12, 20, 28, 36])
def test_a_process_that_really_dies(new_world: NewWorld, step: int) -> None:
    """A child ends within apply, without any clean-up; its lock is taken over, its run finished."""
    case = Case("tag in place", new_world)
    for back in (False, True):
        world = new_world("tag in place")
        plan_file = world.folder.parent / "plan.json"
        plan_file.write_text(dumps(world.plan.as_document({})), encoding="utf-8")
        child = subprocess.run(
            [sys.executable, "-c", _APPLY_AND_DIE, str(plan_file), str(step)],
            check=False,
            env={**os.environ, "PYTHONWARNINGS": ""},
        )
        assert child.returncode == 9
        assert (world.folder / ".primecoat" / "lock").exists()
        case.originals(world)
        outcome = workflow.recover(world.plan.target, back=back).outcome
        wanted = {"finished": case.after, "taken back": case.before}
        case.whole(world, wanted.get(outcome, case.before))
        case.goes_there_and_back(world)
        RUNS["real"] += 1


def test_two_processes_at_once(new_world: NewWorld, tmp_path: Path) -> None:
    """While one process works, another is refused and told which; then it has its turn."""
    world = new_world("tag")
    waiting = (
        "import sys\nfrom pathlib import Path\nfrom primecoat.files import folder_lock\n"
        "with folder_lock(Path(sys.argv[1]), 'apply'):\n    print('held', flush=True)\n    input()"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", waiting, str(world.folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "held\n"
    before = s.content(world.folder)
    acts: list[Callable[[], object]] = [
        lambda: workflow.apply(world.plan),
        lambda: workflow.undo(world.plan.target),
        lambda: workflow.decide(
            workflow.survey(world.plan.target, workers=1), "tex/bowl.png", s.SRGB
        ),
    ]
    for act in acts:
        with pytest.raises(Exception, match=rf"'apply', process {child.pid} on "):
            act()
    assert s.content(world.folder) == before
    child.communicate("\n")
    assert len(workflow.apply(world.plan)) == len(world.plan.operations)
