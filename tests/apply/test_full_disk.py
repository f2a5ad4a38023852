"""A disk that fills up, or a share that goes away, at every step; mended later, all is well."""

from __future__ import annotations

import errno
import itertools
import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.apply.test_crash import Case, NewWorld
from tests.apply.worlds import World

from primecoat import files, workflow
from primecoat.errors import PrimecoatError

_NEED_ROOM = ("fsync", "link", "mkdir")
_CHANGE = (*_NEED_ROOM, "rename", "replace", "unlink", "chmod", "utime")
WAYS = {"full": (errno.ENOSPC, _NEED_ROOM), "gone": (errno.ESTALE, _CHANGE)}
"""What the system says, and of which calls."""


@pytest.fixture
def new_world(templates: dict[str, World]) -> Iterator[NewWorld]:
    numbers = itertools.count()
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield lambda kind: templates[kind].copy(Path(folder) / str(next(numbers)) / "scene")


class Disk:
    """Counts the calls that a trouble would meet; from one of them on it meets all."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, way: str, after: int | None) -> None:
        self.code, calls = WAYS[way]
        self.after, self.calls = after, 0
        for name in calls:
            monkeypatch.setattr(os, name, self._wrap(getattr(os, name)))
        monkeypatch.setattr(os, "open", self._wrap(os.open))
        if "rename" in calls:
            rename = self._wrap(files._rename_if_free)
            monkeypatch.setattr(files, "_rename_if_free", rename)

    def _wrap(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def step(*arguments: Any, **options: Any) -> Any:
            makes = call is not _OPEN or arguments[1] & os.O_CREAT
            if makes:
                self.calls += 1
            if makes and self.after is not None and self.calls > self.after:
                raise OSError(self.code, os.strerror(self.code))
            return call(*arguments, **options)

        return step


_OPEN = os.open


def troubled(act: Callable[[], object], way: str, after: int | None) -> int:
    """Carry out an act while the disk is in trouble; return how many calls were counted."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        disk = Disk(monkeypatch, way, after)
        try:
            act()
        except (PrimecoatError, OSError) as error:
            said = str(error)
        else:
            said = "done"
    assert said
    return disk.calls


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("kind", ["tag in place", "tag embedded in place", "bake in place"])
def test_in_trouble_at_every_step(new_world: NewWorld, kind: str, way: str) -> None:
    """The act fails with a word; nothing is lost; once mended, recovery makes it whole."""
    case = Case(kind, new_world)
    count = troubled(lambda: workflow.apply(new_world(kind).plan), way, None)
    assert count > 20
    for after in range(0, count, 1 if kind == "tag in place" else 3):
        world = new_world(kind)
        troubled(lambda: workflow.apply(world.plan), way, after)  # noqa: B023
        case.originals(world)
        workflow.recover(world.plan.target, back=bool(after % 2))
        case.whole(world, case.before, case.after)
        workflow.apply(world.plan)
        case.whole(world, case.after)
        troubled(lambda: workflow.undo(world.plan.target), way, after)  # noqa: B023
        case.originals(world)
        workflow.recover(world.plan.target)
        case.whole(world, case.before, case.after)
