"""Pictures decoded in worker processes: the same numbers, and a worker that ends takes nothing."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from primecoat.errors import ImageError
from primecoat.report.shown import apart as shown_apart
from primecoat.report.shown import decoded
from primecoat.report.shown.apart import decode_apart, in_worker
from primecoat.report.shown.kept import KEPT
from primecoat.workflow.shown import histogram_of, probed, shown


@pytest.fixture(scope="module", autouse=True)
def apart() -> Iterator[None]:
    """Workers, while the tests run."""
    decode_apart(apart=True)
    yield
    decode_apart(apart=False)


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """A small picture with grain."""
    path = tmp_path / "glaze.png"
    Image.fromarray(np.random.default_rng(4).integers(0, 256, (24, 32, 3), np.uint8)).save(path)
    return path


def crash(path: Path) -> int:
    """Do what a broken decoder does: read where there is no memory."""
    return int(ctypes.string_at(0)[0]) + len(str(path))


def test_same_picture_and_numbers(picture: Path, monkeypatch: pytest.MonkeyPatch):
    """What a worker decodes is what is decoded here."""
    with monkeypatch.context() as patch:
        patch.setattr(shown_apart, "_workers", None)
        here = shown(picture, "srgb_rec709_scene", size=(20, 20)).png
        counts = histogram_of(picture, "srgb_rec709_scene")
        pixel = probed(picture, 3, 5, "srgb_rec709_scene")
    os.utime(picture, ns=(0, 0))  # nothing of it is kept under this time
    assert shown(picture, "srgb_rec709_scene", size=(20, 20)).png == here
    assert histogram_of(picture, "srgb_rec709_scene") == counts
    assert probed(picture, 3, 5, "srgb_rec709_scene") == pixel


def test_work_is_done_in_another_process():
    """Else the test below would bring this process down."""
    assert in_worker("glaze.png", os.getpid) != os.getpid()


def test_crash_is_an_error_of_one_picture(picture: Path):
    """The next picture is shown as if nothing had been."""
    with pytest.raises(ImageError, match=r"Cannot read the picture bowl.png: the worker"):
        in_worker("bowl.png", crash, picture)
    assert shown(picture, "srgb_rec709_scene").width == 32


def test_killed_worker_is_replaced(picture: Path):
    """Whoever kills it, the next picture comes."""
    killed = in_worker("glaze.png", os.getpid)
    os.kill(killed, signal.SIGKILL)
    assert shown(picture, "srgb_rec709_scene").width == 32
    assert in_worker("glaze.png", os.getpid) not in (killed, os.getpid())


def test_errors_of_decoding_come_back_as_they_are(tmp_path: Path):
    """A damaged picture is told of with its name; the workers stay."""
    damaged = tmp_path / "cup.png"
    damaged.write_bytes(b"\x89PNG\r\n\x1a\nno more")
    worker = in_worker("glaze.png", os.getpid)
    with pytest.raises(ImageError, match="cup"):
        shown(damaged, "srgb_rec709_scene")
    assert worker in {child.pid for child in multiprocessing.active_children()}


def test_dragging_decodes_once(picture: Path, monkeypatch: pytest.MonkeyPatch):
    """Another exposure of the same picture asks no worker, another box does; the same is kept."""
    asked: list[str] = []

    def count(name: str, function, *args):
        asked.append(name)
        return in_worker(name, function, *args)

    monkeypatch.setattr(decoded, "in_worker", count)
    first = shown(picture, "srgb_rec709_scene")
    for stops in (0.5, 1.0, 1.5):
        assert shown(picture, "srgb_rec709_scene", stops=stops).png != first.png
    assert len(asked) == 1
    held = KEPT.held
    assert shown(picture, "srgb_rec709_scene") is first
    assert KEPT.held == held
    shown(picture, "srgb_rec709_scene", box=(0, 0, 8, 8))
    assert len(asked) == 2
