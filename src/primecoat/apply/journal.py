"""The journal: one line before and one after each change, appended and synced.

``begin`` opens a run and names its plan; ``intent`` says what is about to be done, ``done`` that
it was, ``undone`` that it was taken back; ``end`` and ``undo-end`` close. A torn last line, from
a crash while it was written, is ignored and cut off by ``recover``.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from primecoat.documents import read_state
from primecoat.errors import InputError, RefusedError
from primecoat.files import (
    Identity,
    append_line,
    make_folder,
    replace_bytes,
    sha256_of_bytes,
    state_folder,
)
from primecoat.location import printable

FILE = "journal.jsonl"
"""Name of the journal in the state folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What the journal knows of one operation of a run.

    Parameters
    ----------
    number
        Index in the plan.
    operation
        The operation as a document.
    after
        Hash that the target has once it is done.
    device, inode, size, modified_ns
        Identity of the target once done; 0 before, the latter two also in older journals.
    method
        How it was done: ``reflink``, ``hard link``, ``copy``, ``rename``, ``write``.
    state
        ``intent``, ``done`` or ``undone``.
    """

    number: int
    operation: dict[str, Any]
    after: str
    device: int = 0
    inode: int = 0
    size: int = 0
    modified_ns: int = 0
    method: str = ""
    state: str = "intent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One apply: its plan, its steps, whether it and its undo came to an end.

    Who applied it, and on which dates it was applied and taken back, are empty in journals from
    before these were written.
    """

    id: str
    plan_sha256: str
    root: str
    target: str
    by: str = ""
    when: str = ""
    steps: tuple[Step, ...] = ()
    ended: bool = False
    undoing: bool = False
    undone: bool = False
    undone_when: str = ""

    @property
    def open(self) -> bool:
        """Whether the run, or its undo, was cut short."""
        return not self.undone and (not self.ended or self.undoing)

    @property
    def stands(self) -> bool:
        """Whether the run ended and was not taken back."""
        return self.ended and not self.undoing and not self.undone


def journal_file(home: Path) -> Path:
    """Return the journal of the scenes in a folder."""
    return state_folder(home) / FILE


def plan_file(home: Path, sha256: str) -> Path:
    """Return where the plan of a run is kept."""
    _refuse_no_hash(home, sha256)
    return state_folder(home) / "plans" / f"{sha256}.json"


def before_file(home: Path, sha256: str) -> Path:
    """Return where the bytes that a run replaced are kept."""
    _refuse_no_hash(home, sha256)
    return state_folder(home) / "before" / sha256


def _refuse_no_hash(home: Path, sha256: str) -> None:
    """Refuse what could lead out of the state folder where the name of a kept file belongs."""
    if not re.fullmatch("[0-9a-f]{1,64}", sha256):
        raise RefusedError(
            f"The journal in {home} names {sha256[:80]!r} where the hash of a file belongs.",
            "The journal was edited or is not of this scene: restore it from a copy.",
        )


def keep(path: Path, data: bytes, *, modified_ns: int | None = None) -> None:
    """Keep bytes under a name made of their hash, once; with the time they were changed."""
    if path.exists() and sha256_of_bytes(path.read_bytes()) == sha256_of_bytes(data):
        return
    make_folder(path.parent)
    replace_bytes(path, data, modified_ns=modified_ns)


def append_done(home: Path, run: str, number: int, target: Path, method: str) -> None:
    """Append that an operation was done, and which file its target is now."""
    now = Identity.of(target)
    append(
        home,
        run,
        "done",
        n=number,
        device=now.device,
        inode=now.inode,
        size=now.size,
        modified_ns=now.modified_ns,
        method=method,
    )


def append(home: Path, run: str, state: str, **facts: Any) -> None:
    """Append one line and sync it."""
    line = json.dumps({"run": run, "state": state, **facts}, separators=(",", ":"))
    append_line(journal_file(home), line)


def read_runs(home: Path) -> tuple[Run, ...]:
    """Return all runs of a folder, oldest first; none if there is no journal.

    Raises
    ------
    InputError
        If a line other than the last cannot be understood.
    """
    path = journal_file(home)
    text = (read_state(path) or b"").decode(errors="replace")
    lines = text.splitlines()
    runs: dict[str, Run] = {}
    for number, line in enumerate(lines, 1):
        try:
            entry = json.loads(line)
            _take(runs, entry)
        except (ValueError, KeyError, TypeError, OverflowError, RecursionError) as error:
            if number == len(lines) and not text.endswith("\n"):
                break
            raise InputError(
                f"Line {number} of the journal {path} cannot be understood "
                f"({printable(str(error))}).",
                "Restore the journal from a copy; the scene's files are as they are.",
            ) from error
    return tuple(runs.values())


def _take(runs: dict[str, Run], entry: dict[str, Any]) -> None:
    """Take one line of the journal into account."""
    run_id, state = str(entry["run"]), str(entry["state"])
    if state == "begin":
        runs[run_id] = Run(
            id=run_id,
            plan_sha256=_text(entry["plan"]),
            root=_text(entry["root"]),
            target=_text(entry["target"]),
            by=str(entry.get("by", "")),
            when=str(entry.get("when", "")),
        )
        return
    run = runs[run_id]
    if state == "intent":
        operation = dict(entry["operation"])
        for path in (operation["target"], operation.get("source", "")):
            _text(path)
        step = Step(number=int(entry["n"]), operation=operation, after=_text(entry["after"]))
        others = tuple(s for s in run.steps if s.number != step.number)
        runs[run_id] = replace(run, steps=(*others, step))
    elif state == "done":
        facts = {key: entry[key] for key in ("device", "inode", "method")}
        facts |= {key: int(entry.get(key, 0)) for key in ("size", "modified_ns")}
        if max(abs(facts["size"]), abs(facts["modified_ns"])) >= 2**63:
            raise ValueError("no file has such a size or time")
        runs[run_id] = _with(run, int(entry["n"]), state="done", **facts)
    elif state == "undone":
        runs[run_id] = _with(run, int(entry["n"]), state="undone")
    elif state == "undo":
        runs[run_id] = replace(run, undoing=True)
    elif state == "end":
        runs[run_id] = replace(run, ended=True)
    elif state == "undo-end":
        runs[run_id] = replace(
            run, undone=True, undoing=False, undone_when=str(entry.get("when", ""))
        )
    else:
        raise ValueError(f"unknown state {state!r}")


def _text(value: object) -> str:
    """Return a name, path or hash of the journal; no system knows one that holds a NUL."""
    if not isinstance(value, str) or "\0" in value:
        raise TypeError(f"no name or path: {value!r:.40}")
    return value


def _with(run: Run, number: int, **changes: Any) -> Run:
    steps = tuple(replace(s, **changes) if s.number == number else s for s in run.steps)
    return replace(run, steps=steps)


def cut_torn_line(home: Path) -> bool:
    """Cut a last line that a crash left unfinished; return whether there was one."""
    path = journal_file(home)
    data = read_state(path) or b""
    if data.endswith(b"\n") or not data:
        return False
    whole = data[: data.rfind(b"\n") + 1]
    replace_bytes(path, whole)
    return True


def root_of(home: Path, run: Run) -> Path:
    """Return a run's root, which the journal names relative to the folder it lies in.

    Raises
    ------
    RefusedError
        If that is not this folder or one above it.
    """
    root = Path(os.path.normpath(home / run.root))
    if not home.is_relative_to(root):
        raise RefusedError(
            f"The journal in {home} names {root} as the root of a run, which does not hold it.",
            "The journal was edited or is not of this scene: restore it from a copy.",
        )
    return root


def touches(home: Path, run: Run, wanted: Path) -> bool:
    """Whether a run is about a scene, a picture or a folder (absolute)."""
    if wanted in (home, Path(os.path.normpath(home / run.target))):
        return True
    root = root_of(home, run)
    return any(
        wanted in (root / step.operation["target"], root / step.operation.get("source", ""))
        for step in run.steps
    )


def touched_folders(home: Path, run: Run) -> frozenset[Path]:
    """Return the folders in which a run, if it was cut short, can have left unfinished files."""
    root = root_of(home, run)
    return frozenset((root / step.operation["target"]).parent for step in run.steps)


def kept_folders(home: Path) -> tuple[Path, ...]:
    """Return the state folder and the folders in it to which a run writes."""
    state = state_folder(home)
    return state, state / "plans", state / "before"


def standing_steps(runs: Iterable[Run]) -> tuple[tuple[Run, Step], ...]:
    """Return every step that was done and not taken back, oldest first."""
    return tuple((run, step) for run in runs for step in run.steps if step.state == "done")
