"""A decoder that is brought down by a picture takes a worker with it: one finding, and on it goes.

No decoder here can be made to crash at will, so the kernel does what a crash does: whenever a
process other than this one has the picture open, it is killed.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from tests.cli.terminal import in_a_process
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.jobs import apart

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


@contextmanager
def deadly(name: str) -> Iterator[list[int]]:
    """Kill every child process that opens a file of this name; yield the numbers of those."""
    killed: list[int] = []
    over = threading.Event()

    def watch() -> None:
        while not over.is_set():
            for pid in _children(os.getpid()):
                if _opens(pid, name):
                    with contextlib.suppress(ProcessLookupError):  # it has just ended by itself
                        os.kill(pid, signal.SIGKILL)
                        killed.append(pid)
            time.sleep(0.001)

    thread = threading.Thread(target=watch)
    thread.start()
    try:
        yield killed
    finally:
        over.set()
        thread.join()


def _children(parent: int) -> list[int]:
    """Return all processes that come from one."""
    found: list[int] = []
    with contextlib.suppress(OSError):
        for task in list(Path(f"/proc/{parent}/task").iterdir()):
            found += [int(pid) for pid in (task / "children").read_text().split()]
    return found + [below for child in found for below in _children(child)]


def _opens(pid: int, name: str) -> bool:
    with contextlib.suppress(OSError):
        for descriptor in Path(f"/proc/{pid}/fd").iterdir():
            with contextlib.suppress(OSError):
                if name in descriptor.readlink().name:
                    return True
    return False


def large() -> bytes:
    """Return a PNG that takes a while to decode."""
    return b.png_of(np.random.default_rng(0).integers(0, 256, (1500, 1500, 3), np.uint8))


def one_finding(survey: Survey, where: str) -> None:
    """Hold that one picture could not be read, for a worker that ended, and the others could."""
    words = "the worker process ended while it read this file"
    assert [f.where for f in survey.findings if words in f.message] == [where]
    read = [i.record.path for i in survey.readings.images if i.record.header]
    assert len(read) == len(survey.readings.images) - 1 == 2


def test_a_picture_that_kills(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(apart.APART, "1")
    for name in ("cup.png", "jug.png"):
        (tmp_path / name).write_bytes(b.png())
    (tmp_path / "deadly.png").write_bytes(large())
    with deadly("deadly.png") as killed:
        survey = workflow.survey(tmp_path, workers=1)
    assert len(killed) >= 2, "among the others, and alone"
    one_finding(survey, "deadly.png")


def test_a_picture_inside_a_scene_that_kills(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(apart.APART, "1")
    scene = tmp_path / "s.glb"
    materials = [{"emissiveTexture": {"index": n}} for n in range(3)]
    scene.write_bytes(b.glb_with_images(b.png(), large(), b.png(), materials=materials))
    with deadly("image1.png") as killed:
        survey = workflow.survey(scene)
    assert killed
    one_finding(survey, "s.glb#images/1")


def test_without_it_a_small_scene_starts_no_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(apart.APART, raising=False)
    (tmp_path / "deadly.png").write_bytes(large())
    with deadly("deadly.png") as killed:
        survey = workflow.survey(tmp_path)
    assert not killed
    assert survey.readings.images[0].record.header


def test_the_program_decodes_apart_unasked(tmp_path: Path) -> None:
    """A small scene as well: the process that the person started never opens the picture."""
    for name in ("cup.png", "jug.png"):
        (tmp_path / name).write_bytes(b.png())
    (tmp_path / "deadly.png").write_bytes(large())
    with deadly("deadly.png") as killed:
        outcome = in_a_process("survey", tmp_path, "--json")
    assert len(killed) >= 2
    assert outcome.code == 1, "had it opened the picture itself, it would be dead"
    where = [f["where"] for f in outcome.document["findings"] if "worker" in f["message"]]
    assert where == ["deadly.png"]
    assert len(outcome.document["images"]) == 3
