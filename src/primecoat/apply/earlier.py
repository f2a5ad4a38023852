"""What is known of a file as it was: from what is kept, the journal and the measures."""

from __future__ import annotations

import contextlib
import tempfile
from pathlib import Path

from primecoat.apply.difference import Earlier
from primecoat.apply.journal import Step, before_file, read_runs, root_of
from primecoat.documents import read_state
from primecoat.errors import PrimecoatError
from primecoat.files import sha256_of_bytes
from primecoat.inventory.cache import facts_of
from primecoat.plan.operations import WriteScene, from_document
from primecoat.plan.reach import leads_out
from primecoat.scenes.registry import changed


def earlier(home: Path, root: Path, path: Path, sha256: str) -> Earlier:
    """Return what can be told of a file when it had these bytes.

    Parameters
    ----------
    home
        Folder beside which the state folder lies.
    root
        Folder that may be looked into; of runs with another root only what is kept is told.
    """
    size, modified_ns = facts_of(home, path, sha256) or (0, 0)
    data = _kept(home, sha256)
    with contextlib.suppress(PrimecoatError):  # it is told with less, then
        for run in read_runs(home):
            for step in run.steps:
                base = root_of(home, run)
                if step.after == sha256 and base / step.operation["target"] == path:
                    size, modified_ns = step.size, step.modified_ns
                    if base.is_relative_to(root):
                        data = data or _written(home, base, step)
    size = size if data is None else len(data)
    return Earlier(sha256=sha256, size=size, modified_ns=modified_ns, data=data)


def _kept(home: Path, sha256: str) -> bytes | None:
    """Return bytes that a run kept before it replaced them, if they are whole."""
    try:
        data = read_state(before_file(home, sha256))
    except PrimecoatError:
        return None
    return data if data is not None and sha256_of_bytes(data) == sha256 else None


def _written(home: Path, root: Path, step: Step) -> bytes | None:
    """Return what a run wrote as a scene, made again from what it was made of."""
    operation = from_document(step.operation)
    if not isinstance(operation, WriteScene) or leads_out(root, operation.source):
        return None
    source = root / operation.source
    data = _kept(home, operation.source_sha256)
    try:
        if data is None:
            data = source.read_bytes()
        with tempfile.TemporaryDirectory() as folder:  # for the reader wants the file's name
            again = Path(folder) / source.name
            again.write_bytes(data)
            made = changed(again, operation.edits, again, (Path(folder),))
    except (OSError, PrimecoatError):
        return None
    return made if sha256_of_bytes(made) == step.after else None
