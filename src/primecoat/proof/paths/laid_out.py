"""Stages laid out in files, so that worker processes share their pictures instead of copying them.

A scene read in ten ways holds mostly the same pictures ten times; each array is written once and
mapped into memory by every worker.
"""

from __future__ import annotations

import io
import pickle
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np

from primecoat.proof.paths.model import Stage

_WORTH_A_FILE: Final = 1 << 16
"""Bytes above which an array gets a file of its own."""


@contextmanager
def laid_out(stages: Sequence[Stage]) -> Iterator[list[Path]]:
    """Give a file for each stage while the block runs; other processes read them by :func:`held`.

    Examples
    --------
    >>> from primecoat.proof.paths.model import Camera, Dome
    >>> sky = Dome(radiance=np.ones((128, 256, 3), np.float32))
    >>> camera = Camera(place=(0.0, 0.0, 1.0), target=(0.0, 0.0, 0.0), height=1.0)
    >>> with laid_out([Stage(meshes=(), camera=camera, lights=(sky,))]) as (file,):
    ...     held(file).lights[0].radiance.shape
    (128, 256, 3)
    """
    with tempfile.TemporaryDirectory(prefix="primecoat-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        names: dict[int, str] = {}
        files = []
        for number, stage in enumerate(stages):
            written = io.BytesIO()
            _Writer(written, folder, names).dump(stage)
            files.append(folder / f"{number}.stage")
            files[-1].write_bytes(written.getvalue())
        yield files


def held(file: Path) -> Stage:
    """Return a stage that :func:`laid_out` wrote; its large arrays are mapped, not read."""
    with file.open("rb") as source:
        found = _Reader(source, file.parent).load()
    assert isinstance(found, Stage)
    return found


class _Writer(pickle.Pickler):
    def __init__(self, file: io.BytesIO, folder: Path, names: dict[int, str]) -> None:
        super().__init__(file, protocol=5)
        self._folder = folder
        self._names = names  # the stages stay alive meanwhile, so identities do

    def persistent_id(self, value: Any) -> str | None:
        if not isinstance(value, np.ndarray) or value.nbytes < _WORTH_A_FILE:
            return None
        name = self._names.get(id(value))
        if name is None:
            name = self._names[id(value)] = f"{len(self._names)}.npy"
            np.save(self._folder / name, np.ascontiguousarray(value))
        return name


class _Reader(pickle.Unpickler):
    def __init__(self, file: Any, folder: Path) -> None:
        super().__init__(file)
        self._folder = folder

    def persistent_load(self, name: str) -> Any:
        return np.asarray(np.load(self._folder / name, mmap_mode="r"))
