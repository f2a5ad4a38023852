"""Pictures that cannot be baked: told by name, and the scene is not touched."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from tests.apply import kiln
from tests.apply.refusals import refused
from tests.plan import small as s

from primecoat import jobs, workflow
from primecoat.apply.bakes import BakesFailedError, bake_pictures
from primecoat.bake.store import store_of
from primecoat.errors import RefusedError
from primecoat.files import sha256_of
from primecoat.jobs import WorkerDiedError
from primecoat.plan.operations import BakeImage
from primecoat.plan.plan import Plan


@pytest.fixture
def made(tmp_path: Path) -> Plan:
    """Return the plan to bake three pictures."""
    return kiln.planned(kiln.tableware(tmp_path / "tea", 3))[0]


def test_one_that_is_no_picture_any_more(tmp_path: Path) -> None:
    """The others wait in the store for the next run; what is said counts and names."""
    scene = kiln.tableware(tmp_path / "tea", 3)
    planned, _ = kiln.planned(scene)
    broken = scene.parent / "dish1.png"
    data = broken.read_bytes()
    broken.write_bytes(data[: len(data) * 2 // 3])
    first, second, *rest = planned.operations
    assert isinstance(second, BakeImage)
    bad = replace(second, source_sha256=sha256_of(broken))  # as if it had been so all along
    made = replace(planned, operations=(first, bad, *rest))
    before = s.content(scene.parent)
    seen: list[tuple[int, ...]] = []
    with pytest.raises(BakesFailedError, match=r"1 picture could not be baked.* dish1\.png: ") as e:
        workflow.apply(made, baking=lambda *figures: seen.append(figures))
    assert (sorted(e.value.share.done), [f.path for f in e.value.share.failed]) == (
        [0, 2],
        ["dish1.png"],
    )
    total = sum(len(before[f"dish{n}.png"]) for n in range(3))
    assert [figures[:2] for figures in seen] == [(1, 3), (2, 3), (3, 3)]
    assert seen[-1][2:] == (total, total)
    assert s.content(scene.parent) == before
    assert len(list(store_of(scene.parent).iterdir())) == 2


def test_one_that_went_away(made: Plan) -> None:
    """Between the plan and a share of its bakes: the share says so and bakes the others."""
    (made.root / "dish2.png").unlink()
    share = workflow.bake_share(made, jobs.WHOLE)
    assert sorted(share.done) == [0, 1]
    assert [failed.path for failed in share.failed] == ["dish2.png"]
    assert kiln.baked(made.root) == {}


def test_shares_of_what_is_done_or_bakes_nothing(made: Plan, tmp_path: Path) -> None:
    """Nothing is baked again once the plan stands, nor where there is no bake."""
    workflow.apply(made)
    share = workflow.bake_share(made, jobs.WHOLE)
    assert (dict(share.done), share.failed) == ({}, ())
    assert not store_of(made.root).exists()
    s.pictures(tmp_path / "tag", "bowl.png")
    tagged = s.plan(s.gltf(tmp_path / "tag" / "tea.gltf", ("bowl.png", "metal")))
    assert len(tagged.operations) > 0
    assert dict(workflow.bake_share(tagged, jobs.WHOLE).done) == {}


def test_a_store_whose_name_is_taken(made: Plan) -> None:
    """Said in one line, by apply and by a share; the file stays."""
    store_of(made.root).parent.mkdir(exist_ok=True)
    store_of(made.root).write_text("mine")
    for act in (lambda: workflow.apply(made), lambda: workflow.bake_share(made, jobs.WHOLE)):
        with pytest.raises(RefusedError, match=r"Cannot make the folder .*baked"):
            act()
    assert store_of(made.root).read_text() == "mine"


def test_a_folder_without_rights(made: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is noticed before a picture is baked; the system's answer to a user without rights."""
    monkeypatch.setattr(os, "access", lambda *_: False)  # the administrator may write anywhere
    refused(lambda: workflow.apply(made), made.root, f"Nothing can be written in {made.root}")
    assert not store_of(made.root).exists()


@dataclass(frozen=True)
class _Deadly(jobs.LocalEngine):
    """Does the first job and says of the others that their worker died; knows if it was ended."""

    ended: tuple[list[bool], ...] = ([],)

    def run(
        self, function: Callable[[Any], Any], items: Sequence[Any]
    ) -> Generator[tuple[int, Any]]:
        try:
            yield 0, function(items[0])
            for index in range(1, len(items)):
                yield index, WorkerDiedError("the process that did this died")
        finally:
            self.ended[0].append(True)


class _Place(jobs.Workplace):
    """A workplace with that engine."""

    def engine(self, total_bytes: int) -> jobs.LocalEngine:
        return _Deadly()


def test_a_worker_that_died_is_one_failed_picture(made: Plan) -> None:
    """Its words begin as a sentence; what can be done is said. Real ones die in ``tests/jobs``."""
    share = bake_pictures(made, workplace=_Place())
    assert sorted(share.done) == [0]
    assert [failed.path for failed in share.failed] == ["dish1.png", "dish2.png"]
    assert share.failed[0].reason == "The process that did this died."
    assert "--workers 1" in share.failed[0].remedy


def test_work_is_ended_if_the_caller_stops_listening(made: Plan) -> None:
    """An interrupt while figures are told ends the engine before its leavings are swept."""
    _Deadly().ended[0].clear()

    def interrupted(*_: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        bake_pictures(made, workplace=_Place(), progress=interrupted)
    assert _Deadly().ended[0] == [True]
    assert kiln.left_over(made.root) == [str(store_of(made.root))]
