"""Take a run back, newest step first; nothing is removed that is not surely ours."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import assert_never

from primecoat.apply import journal
from primecoat.apply.difference import difference
from primecoat.apply.earlier import earlier
from primecoat.apply.journal import (
    Run,
    Step,
    before_file,
    read_runs,
    root_of,
    standing_steps,
    touched_folders,
)
from primecoat.apply.reach import refuse_wider
from primecoat.apply.verify import refuse_leading_out
from primecoat.errors import InputError, RefusedError
from primecoat.files import (
    STATE_FOLDER,
    remove,
    rename_new,
    replace_bytes,
    sha256_of,
    sweep_asides,
)
from primecoat.plan.operations import (
    LinkImage,
    Operation,
    RemoveCreated,
    RenameImage,
    RestoreFile,
    WriteScene,
    from_document,
)
from primecoat.plan.reach import writes_another_kind
from primecoat.plan.users import scenes_using
from primecoat.reading.decisions import today


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """One operation that was taken back."""

    operation: Operation


def undo_run(home: Path, run: Run, *, reach: Sequence[Path]) -> tuple[Undone, ...]:
    """Take back every step of a run that was done.

    Everything is checked before anything is changed.

    Parameters
    ----------
    home
        Folder beside which the journal lies; its lock must be held.
    run
        A run with steps that stand.
    reach
        Folders, absolute, in which files may be changed.

    Raises
    ------
    RefusedError
        If a file has changed since, an original is gone, or the run reaches further; the message
        names it.
    """
    root = root_of(home, run)
    refuse_wider(home, (root,), reach)
    steps = [s for s in sorted(run.steps, key=lambda s: -s.number) if s.state != "undone"]
    for step in steps:
        refuse_leading_out(root, from_document(step.operation))
    pending = [step for step in steps if _needs_undo(home, root, step)]
    _refuse_breaking_others(root, run, pending)
    sweep_asides(touched_folders(home, run))
    if not run.undoing:
        journal.append(home, run.id, "undo")
    undone = []
    for step in steps:
        operation = from_document(step.operation)
        if step in pending:
            _take_back(home, root, operation)
            undone.append(Undone(operation=operation))
        journal.append(home, run.id, "undone", n=step.number)
    journal.append(home, run.id, "undo-end", when=today())
    return tuple(undone)


def was_done(home: Path, root: Path, step: Step) -> bool:
    """Whether an operation whose end the journal does not tell took place.

    Raises
    ------
    RefusedError
        If its file is neither as before nor as after.
    """
    operation = from_document(step.operation)
    target, reverse = root / operation.target, operation.reverse()
    match reverse:
        case RenameImage(target=original):
            if target.exists() and not (root / original).exists():
                return True
            if (root / original).exists() and not target.exists():
                return False
        case RestoreFile(before_sha256=before):
            found = _hash_of(target)
            if found in (step.after, before):
                return found == step.after
        case RemoveCreated():
            if not target.exists():
                return False
            if _hash_of(target) == step.after:
                return True
        case _:
            assert_never(reverse)
    what = difference(target, earlier(home, root, target, step.after))
    raise RefusedError(
        f"{target} is neither as it was before nor as it was to become ({what}).",
        "Look at it and at the journal in .primecoat; nothing was changed now.",
    )


def _needs_undo(home: Path, root: Path, step: Step) -> bool:
    """Whether a step stands and can be taken back; refuse if it can not."""
    operation = from_document(step.operation)
    target = root / operation.target
    reverse = operation.reverse()
    if step.state == "intent":
        return was_done(home, root, step)
    match reverse:
        case RenameImage(target=original):
            if not target.exists() and (root / original).exists():
                return False
            remedy = f"Give it its old name {original} by hand, then undo."
            _expect(home, root, target, step.after, remedy)
            if (root / original).exists() and not (root / original).samefile(target):
                raise RefusedError(
                    f"{original} is there again, so {operation.target} cannot get its name back.",
                    "Move one of the two away, then undo.",
                )
        case RestoreFile(before_sha256=before):
            if _hash_of(target) == before:
                return False
            if os.path.lexists(target):
                _expect(home, root, target, step.after)
            kept = before_file(home, before)
            if kept.is_symlink() or _hash_of(kept) != before:
                raise RefusedError(
                    f"The kept original of {operation.target} is missing from {kept.parent}.",
                    "Restore it from a copy.",
                )
        case RemoveCreated(source=source):
            if not os.path.lexists(target):
                return False
            _expect_ours(home, root, step, operation, root / source)
        case _:
            assert_never(reverse)
    return True


def _hash_of(path: Path) -> str:
    """Return the hash of an ordinary file; nothing for what else has its name, or if none has."""
    return sha256_of(path) if path.is_file() else ""


def _expect(
    home: Path,
    root: Path,
    target: Path,
    sha256: str,
    remedy: str = "Move your changed file away and keep it, then undo.",
) -> None:
    if target.is_symlink() or not target.is_file() or sha256_of(target) != sha256:
        what = difference(target, earlier(home, root, target, sha256))
        raise RefusedError(
            f"{target} has changed since primecoat wrote it ({what}); it was left alone.", remedy
        )


def _expect_ours(home: Path, root: Path, step: Step, operation: Operation, source: Path) -> None:
    """Refuse to remove a file that is not surely the one made, or that is the last copy.

    A hard link whose bytes were changed through either name is still the one made: it is known
    by its device and inode, or by being the same file as its original.
    """
    target = root / operation.target
    if target.is_symlink():
        _expect(home, root, target, step.after)
    if not source.exists() or source.resolve() == target.resolve():
        raise RefusedError(
            f"{target} is the last copy: its original {source} is gone.",
            "Put the original back (a copy of this file will do), then undo.",
        )
    if source.samefile(target):
        return
    _expect(home, root, target, step.after)
    if isinstance(operation, LinkImage) and _hash_of(source) != step.after:
        raise RefusedError(
            f"{target} is the last copy of what {source} was before it changed.",
            "Move it away, to keep it or not, then undo.",
        )


def _refuse_breaking_others(root: Path, run: Run, pending: Sequence[Step]) -> None:
    """Refuse if a scene that another run wrote uses an image whose name would go away."""
    operations = [from_document(step.operation) for step in pending]
    images = {(root / o.target).resolve() for o in operations if not isinstance(o, WriteScene)}
    if not images:
        return
    own = {root / o.target for o in operations if isinstance(o, WriteScene)}
    others = (scene for scene in _scenes_of_other_runs(root, run) if scene not in own)
    for image, scene in scenes_using(others, (root,)).items():
        if image in images:
            raise RefusedError(
                f"{scene} uses {image}, which would go away; nothing was changed.",
                f"Take that scene back first: primecoat undo {scene}.",
            )


def _scenes_of_other_runs(root: Path, run: Run) -> Iterator[Path]:
    """Yield the scenes under a root that stand as other runs wrote them."""
    for file in root.rglob(f"{STATE_FOLDER}/{journal.FILE}"):
        home = file.parent.parent
        with contextlib.suppress(InputError, RefusedError):
            for other, step in standing_steps(read_runs(home)):
                operation, base = from_document(step.operation), root_of(home, other)
                if other.id == run.id or not isinstance(operation, WriteScene):
                    continue
                scene = base / operation.target
                inside = scene.resolve().is_relative_to(root.resolve())
                if inside and not writes_another_kind(operation):
                    yield scene


def _take_back(home: Path, root: Path, operation: Operation) -> None:
    target, reverse = root / operation.target, operation.reverse()
    try:
        match reverse:
            case RenameImage(target=original):
                rename_new(target, root / original)
            case RestoreFile(before_sha256=before):
                kept = before_file(home, before)
                changed = kept.stat().st_mtime_ns
                replace_bytes(target, kept.read_bytes(), modified_ns=changed)
            case RemoveCreated():
                remove(target)
            case _:
                assert_never(reverse)
    except OSError as error:
        raise RefusedError(
            f"Stopped at {target}: {error.strerror or error}.",
            "Mend the cause, then undo again.",
        ) from error
