"""Kill real processes at random moments, over all verbs that write, formats and routes.

``python -m tests.journeys.kill [--times 1000] [--inside 1000] [--seed 0] [--json]``. Each turn runs
the command line in a process of its own, ends it with SIGKILL at a random moment of its work, and
then holds:

- every byte of the artist's is under some name, or kept aside;
- each scene file is whole, as it was or as planned; the journal says what is on the disk;
- ``recover`` (onward or back, by turns) ends well, and what is there then is wholly one of the two;
- the scene opens: the survey finds every picture and reads every file;
- nothing is stuck: no lock, no unfinished file; the plan can be carried out and taken back again.

What does not hold is counted and told; the exit code is then 1. With ``--inside`` it then goes on
until that many kills found the command at work inside a run that the journal calls open, without
verbs that open none; those of ``--times`` are 0 then, if not given.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import pickle
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import count
from mmap import PAGESIZE, mmap
from pathlib import Path

from tests.journeys.kill_worlds import Content, World, make_worlds
from tests.journeys.sentence import Moment, watch, watched
from tests.journeys.started import KINDS, FaultError, ended, killed, start
from tests.plan import small as s

from primecoat.apply.journal import FILE, read_runs, root_of
from primecoat.cli.main import run
from primecoat.files import ASIDE_PREFIX, sha256_of
from primecoat.scenes.usd import door

VERBS_OF_RUNS = ("apply", "undo", "recover", "recover --back")
VERBS = ("plan", "decide", *VERBS_OF_RUNS)
_LOST, _CLOSED, _STUCK, _UNTRUE = KINDS
_CANNOT_OPEN = ("PC302", "PC401", "PC402", "PC403", "PC404", "PC405")


@dataclass
class Figures:
    """What came of all the kills."""

    kills: Counter[str] = field(default_factory=Counter)
    too_late: int = 0
    inside: Counter[str] = field(default_factory=Counter)
    outcomes: Counter[str] = field(default_factory=Counter)
    faults: Counter[str] = field(default_factory=Counter)
    words: list[str] = field(default_factory=list)


class Killer:
    """Carries out turns in one work folder."""

    def __init__(self, worlds: Sequence[World], work: Path, seed: int) -> None:
        self.worlds, self.work, self.inside = worlds, work, False
        self.scene, self.plan = work / "scene", work / "plan.json"
        self.moments = random.Random(seed)
        self.figures = Figures()
        self._seconds: dict[tuple[str, str], tuple[float, float]] = {}

    def words(self, world: World, verb: str) -> list[str]:
        """Return the command line of a verb."""
        target = str(self.scene / world.target)
        if verb == "plan":
            more = ["--in-place"] if world.in_place else []
            out = str(self.work / "new.json")
            return ["plan", target, "--route", world.route, "--with-likely", *more, "--out", out]
        if verb == "decide":
            return ["decide", target, world.picture, s.SRGB, "--because", "it is a glaze"]
        if verb == "apply":
            return ["apply", str(self.plan)]
        return [verb.split()[0], target, *verb.split()[1:]]

    def act(self, world: World, verb: str) -> Callable[[], int]:
        """Return what a new process is to do."""
        words = self.words(world, verb)
        return lambda: run(words)

    def do(self, world: World, verb: str, *, good: Sequence[int] = (0,)) -> None:
        """Carry out a verb to its end in a process of its own."""
        code = ended(start(self.act(world, verb)))
        if code not in good:
            raise FaultError(_STUCK, f"{verb} ended with {code}")

    def fresh(self, world: World) -> None:
        """Lay the scene and its plan anew."""
        shutil.rmtree(self.work, ignore_errors=True)
        shutil.copytree(world.kept, self.work)

    def prepare(self, world: World, verb: str) -> None:
        """Bring a fresh scene to where a verb has something to do."""
        self.fresh(world)
        if verb == "undo":
            self.do(world, "apply")
        for _ in range(30 if verb.startswith("recover") else 0):
            moment = self.moment(world, "apply")
            self.fresh(world)
            self.strike(world, "apply", moment)
            if any(run.open for run in read_runs(self.scene)):
                return

    def moment(self, world: World, verb: str) -> Moment:
        """Return a random moment of a verb's work.

        By turns it is any moment, most of which lie before the first change to the scene; and one
        between the first line in the journal and the end. Always the latter where only moments
        inside open runs are asked for; but all of ``recover`` lies inside one.
        """
        key = self.key(world, verb)
        if key not in self._seconds:
            self.prepare(world, verb)
            self._seconds[key] = self.timed(self.act(world, verb))
        whole, rest = self._seconds[key]
        early = not self.inside or verb.startswith("recover")
        if rest and not (early and self.moments.getrandbits(1)):
            return Moment(self.moments.uniform(0, rest), self.scene / ".primecoat" / FILE)
        return Moment(self.moments.uniform(0, whole))

    def key(self, world: World, verb: str) -> tuple[str, str]:
        """Return what is thought to take as long."""
        return world.name if self.inside else world.route, verb

    def strike(self, world: World, verb: str, moment: Moment) -> bool:
        """Kill a verb at a moment; if that came too late, its work is shorter than was thought."""
        at_work = killed(self.act(world, verb), moment)
        key, late = self.key(world, verb), moment.seconds
        whole, rest = self._seconds[key]
        if moment.file and not (at_work and self.leaves_work(verb)):
            self._seconds[key] = whole, min(rest, late)
        elif not at_work:
            self._seconds[key] = late, rest
        return at_work

    def leaves_work(self, verb: str) -> bool:
        """Whether the last line of a verb's run is still to be written."""
        runs = read_runs(self.scene)
        if verb == "apply":
            return not any(run.ended for run in runs)
        if verb == "undo":
            return not any(run.undone for run in runs)
        return any(run.open for run in runs)

    def timed(self, act: Callable[[], int]) -> tuple[float, float]:
        """Return how long an act takes, and how much of that from first to last in the journal.

        The latter is 0 if it writes none.
        """
        with mmap(-1, PAGESIZE) as times:
            began = time.monotonic()
            started = start(act, first=lambda: watch(self.scene / ".primecoat" / FILE, times))
            ended(started)
            return time.monotonic() - began, watched(times)

    def turn(self, number: int) -> None:
        """Kill once and hold what must hold."""
        world = self.worlds[number % len(self.worlds)]
        verbs = VERBS_OF_RUNS if self.inside else VERBS
        verb = verbs[(number // len(self.worlds) + number) % len(verbs)]
        back = bool(self.moments.getrandbits(1))
        try:
            moment = self.moment(world, verb)
            self.prepare(world, verb)
            at_work = self.strike(world, verb, moment)
            self.figures.too_late += not at_work
            self.figures.kills[verb] += 1
            if at_work and any(run.open for run in read_runs(self.scene)):
                self.figures.inside[verb] += 1
            self.hold(world, back)
        except FaultError as fault:
            self.figures.faults[fault.kind] += 1
            self.figures.words.append(f"turn {number}: {world.name}, {verb}: {fault.kind}: {fault}")

    def hold(self, world: World, back: bool) -> None:
        """Hold what must hold after a kill."""
        self.originals(world)
        for name in world.before.keys() & world.after.keys():
            path = self.scene / name
            if path.exists() and path.read_bytes() not in (world.before[name], world.after[name]):
                raise FaultError(_CLOSED, f"{name} is neither as before nor as planned")
        self.journal(world)
        opened = [run for run in read_runs(self.scene) if run.open]
        wanted = {"nothing": [world.before, world.after]}
        outcome = "nothing"
        if opened:
            outcome = "taken back" if back or opened[0].undoing else "finished"
            wanted[outcome] = [world.before if outcome == "taken back" else world.after]
        self.do(world, "recover --back" if back else "recover")
        self.figures.outcomes[outcome] += 1
        self.originals(world)
        self.whole(*wanted[outcome], store=bool(opened))
        self.journal(world)
        self.opens(world)
        self.goes_on(world)

    def originals(self, world: World) -> None:
        """Hold that every byte of the artist's is there."""
        here = set(s.content(self.scene).values())
        here |= {kept.read_bytes() for kept in self.scene.glob(".primecoat/before/*")}
        for name, content in world.before.items():
            if content not in here:
                raise FaultError(_LOST, f"the bytes of {name} are nowhere")

    def whole(self, *wanted: Content, store: bool = True) -> None:
        """Hold that the scene is wholly one of these, and nothing unfinished is left.

        Finished bakes may wait in the ``store`` only where no run was begun: for the next one.
        """
        found = s.content(self.scene)
        if found not in wanted:
            raise FaultError(_STUCK, f"the scene is half done: {sorted(found)}")
        left = list(self.scene.rglob(f"{ASIDE_PREFIX}*")) + list(self.scene.rglob("*/lock"))
        if store:
            left += self.scene.glob(".primecoat/baked")
        if left:
            raise FaultError(_STUCK, f"left over: {left}")

    def journal(self, world: World) -> None:
        """Hold that what the journal says is so on the disk."""
        runs = read_runs(self.scene)
        steps = [(run, step) for run in runs for step in run.steps if not run.undone]
        for run_, step in steps:
            target = root_of(self.scene, run_) / step.operation["target"]
            if step.state == "done" and not run_.undoing and not _is(target, step.after):
                raise FaultError(_UNTRUE, f"{target.name} is said to be done and is not")
        if all(run.undone for run in runs) and s.content(self.scene) != world.before:
            raise FaultError(_UNTRUE, "no run stands, and the scene is not as it was")
        if any(run.stands for run in runs) and s.content(self.scene) != world.after:
            raise FaultError(_UNTRUE, "a run stands, and the scene is not as planned")

    def opens(self, world: World) -> None:
        """Hold that a survey reads every scene file and finds every picture."""
        out = self.work / "survey.json"
        code = ended(start(lambda: run(["survey", str(self.scene), "--json"]), out))
        if code not in (0, 1):
            raise FaultError(_CLOSED, f"the survey ended with {code}")
        document = json.loads(out.read_text(encoding="utf-8"))
        found = [f["message"] for f in document["findings"] if f["code"] in _CANNOT_OPEN]
        if found or not document["images"]:
            raise FaultError(_CLOSED, f"the survey says {found or 'that there is no image'}")

    def goes_on(self, world: World) -> None:
        """Hold that the plan can still be carried out, and taken back, from where things stand."""
        if s.content(self.scene) == world.before:
            self.do(world, "apply")
            self.whole(world.after)
        self.do(world, "undo")
        self.whole(world.before)
        self.journal(world)


def _is(path: Path, sha256: str) -> bool:
    return path.is_file() and sha256_of(path) == sha256


def load_what_all_need() -> None:
    """Load here, once, what every process would load anew; decode nothing."""
    for module in ("Sdf", "Usd", "UsdUtils", "UsdLux"):
        getattr(door, module)
    with contextlib.redirect_stdout(io.StringIO()):
        run(["survey", "--help"])


def worlds_in(folder: Path, work: Path) -> list[World]:
    """Make the worlds in a process of their own, so that this one can start others by a fork."""
    told = folder / "worlds.pickle"

    def make() -> int:
        told.write_bytes(pickle.dumps(make_worlds(folder / "kept", work)))
        return 0

    assert ended(start(make)) == 0
    worlds: list[World] = pickle.loads(told.read_bytes())
    return worlds


def main(words: Sequence[str] | None = None) -> int:
    """Kill as often as asked; print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, help="how many kills; by default 1000")
    parser.add_argument(
        "--inside", type=int, default=0, help="then: how many more inside open runs"
    )
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--json", action="store_true", help="print one document instead")
    asked = parser.parse_args(words)
    times = asked.times if asked.times is not None else 0 if asked.inside else 1000
    began = time.monotonic()
    load_what_all_need()
    memory = Path("/dev/shm")  # a killed process needs no disk, and this one is quick
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        work = Path(folder) / "work"
        worlds = worlds_in(Path(folder), work)
        killer = Killer(worlds, work, asked.seed)
        figures = killer.figures
        with contextlib.suppress(KeyboardInterrupt):  # then what there is so far is told
            for number in range(times):
                killer.turn(number)
            killer.inside, wanted = True, figures.inside.total() + asked.inside
            for number in count():
                if figures.inside.total() >= wanted:
                    break
                killer.turn(number)
    document = {
        "kills": sum(figures.kills.values()),
        "after the end": figures.too_late,
        "inside open runs": figures.inside.total(),
        "inside, by verb": dict(figures.inside),
        "worlds": len(killer.worlds),
        "verbs": dict(figures.kills),
        "recover": dict(figures.outcomes),
        "faults": {kind: figures.faults[kind] for kind in KINDS},
        "seconds": round(time.monotonic() - began, 1),
    }
    if asked.json:
        print(json.dumps(document))
    else:
        for key, value in document.items():
            print(f"{key}: {value}")
    print("\n".join(figures.words), end="", file=sys.stderr)
    return 1 if figures.faults else 0


if __name__ == "__main__":
    sys.exit(main())
