"""A power cut at every call of apply, undo and recover, with all that it could leave of a disk."""

from __future__ import annotations

import itertools
import os
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.apply import crash
from tests.apply.power import Disk, Power
from tests.apply.worlds import World
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply.journal import read_runs

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="asks /proc what is synced")

SOME_OF_THE_BAKES = int(os.environ.get("PRIMECOAT_POWER_CUTS", "12"))
"""One of so many disks is tried where pictures are baked, which takes long; 1 tries all of them."""

FOUND: Counter[str] = Counter()


def _pictures(folder: Path) -> Path:
    s.pictures(folder, "tex/bowl.png", "tex/rough.png")
    return s.gltf(folder / "tea.gltf", ("tex/bowl.png", "base_color"), ("tex/rough.png", "metal"))


def _embedded(folder: Path) -> Path:
    return s.glb(folder / "tea.glb", (s.png(1), "base_color"), (s.png(2), "normal"))


def _sheet(folder: Path) -> Path:
    s.pictures(folder, "tex/bowl.png", "tex/jug.png")
    rows = (f"tex/{name}.png,a,base_color,rgb,{s.SRGB}," for name in ("bowl", "jug"))
    return s.sheet(folder / "tea.csv", *rows)


WORLDS: dict[str, tuple[Callable[[Path], Path], str, bool]] = {
    "rename, rename, scene over itself": (_pictures, "tag", True),
    "link, link, scene beside": (_pictures, "tag", False),
    "extract, extract, scene over itself": (_embedded, "tag", True),
    "bake, bake, scene over itself": (_sheet, "bake", True),
}
"""Plans of three operations; together they have every kind of operation."""


@pytest.fixture(scope="module")
def dead() -> int:
    return crash.ended_process()


@pytest.fixture
def room() -> Iterator[Path]:
    """Return a folder, in memory where that can be."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield Path(folder)


@pytest.fixture(scope="module", autouse=True)
def tell_the_number_of_disks() -> Iterator[None]:
    """Print how many disks were tried (`pytest -s`)."""
    FOUND.clear()
    yield
    print("\ndisks after a power cut:", dict(FOUND), "in all", sum(FOUND.values()))


class Case:
    """A world, what it is before and after, and disks laid anew."""

    def __init__(self, kind: str, room: Path) -> None:
        write, route, in_place = WORLDS[kind]
        self._numbers, self._room = itertools.count(), room
        folder = room / "first"
        folder.mkdir()
        made = s.plan(write(folder), route, in_place=in_place)
        assert len(made.operations) == 3
        shutil.rmtree(folder / ".primecoat", ignore_errors=True)
        self.world = World(folder, made)
        self.before = s.content(folder)
        done = self.world.copy(room / "done")
        workflow.apply(done.plan)
        self.after = s.content(done.folder)

    def laid(self, disk: Disk) -> World:
        """Return a world whose folder is as a power cut left it."""
        folder = self._room / f"cut{next(self._numbers)}"
        disk.lay(folder)
        plan = self.world.plan
        target = folder / plan.target.relative_to(self.world.folder)
        return World(folder, replace(plan, root=folder, target=target))

    def originals(self, world: World) -> None:
        """Hold that every byte of the artist's is under some name, or kept aside."""
        here = set(s.content(world.folder).values())
        here |= {kept.read_bytes() for kept in world.folder.glob(".primecoat/before/*")}
        assert set(self.before.values()) <= here

    def recovers(self, disk: Disk, number: int) -> None:
        """Hold that recovery, onward or back by turns, leaves the scene whole.

        From every third disk, the scene is then primed or taken back.
        """
        back = bool(number % 2)
        world = self.laid(disk)
        self.originals(world)
        outcome = workflow.recover(world.plan.target, back=back).outcome
        found = s.content(world.folder)
        wanted = {"finished": [self.after], "taken back": [self.before]}
        assert found in wanted.get(outcome, [self.before, self.after])
        runs = read_runs(world.folder)
        assert not any(run.open for run in runs)
        assert (found == self.after) == any(run.stands for run in runs), "the journal tells it"
        self.originals(world)
        assert workflow.recover(world.plan.target, back=back).outcome == "nothing to do"
        if number % 3 == 0:
            if found == self.after:
                workflow.undo(world.plan.target)
            else:
                workflow.apply(world.plan)
            assert s.content(world.folder) == (self.before if found == self.after else self.after)
        assert not list(world.folder.rglob(".primecoat-*.tmp"))
        shutil.rmtree(world.folder)


@pytest.mark.parametrize("kind", WORLDS)
@pytest.mark.parametrize("act", ["apply", "undo"])
def test_every_disk_that_a_cut_leaves(room: Path, kind: str, act: str, dead: int) -> None:
    """Recovery, onward and back by turns, from all of them."""
    case = Case(kind, room)
    world = case.world.copy(room / "watched")
    if act == "undo":
        workflow.apply(world.plan)
    does = {
        "apply": lambda: workflow.apply(world.plan),
        "undo": lambda: workflow.undo(world.plan.target),
    }
    disks = Power(world.folder, dead).watch(does[act])
    assert len(disks) > 40
    tried = disks[::SOME_OF_THE_BAKES] if kind.startswith("bake") else disks
    for number, disk in enumerate(tried):
        case.recovers(disk, number)
    FOUND[act] += len(tried)


@pytest.mark.parametrize("back", [False, True], ids=["finish", "back"])
def test_a_second_cut_while_recovering(room: Path, back: bool, dead: int) -> None:
    """A power cut within the recovery from a power cut."""
    kind = "rename, rename, scene over itself"
    case = Case(kind, room)
    world = case.world.copy(room / "watched")
    first = Power(world.folder, dead).watch(lambda: workflow.apply(world.plan))
    for number in range(5, len(first), 40):
        again = case.laid(first[number])
        second = Power(again.folder, dead).watch(
            lambda: workflow.recover(again.plan.target, back=back)  # noqa: B023
        )
        for turn, disk in enumerate(second):
            case.recovers(disk, turn)
        FOUND["recover"] += len(second)
