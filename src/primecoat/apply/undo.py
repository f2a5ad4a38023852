"""Take a run back, newest step first; nothing is removed that is not surely ours."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.apply import journal
from primecoat.apply.journal import Run, Step, before_file, root_of
from primecoat.errors import RefusedError
from primecoat.files import Identity, remove, rename_new, replace_bytes, sha256_of
from primecoat.plan.operations import (
    Operation,
    RemoveCreated,
    RenameImage,
    RestoreFile,
    from_document,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """One operation that was taken back."""

    operation: Operation


def undo_run(home: Path, run: Run) -> tuple[Undone, ...]:
    """Take back every step of a run that was done.

    Everything is checked before anything is changed.

    Parameters
    ----------
    home
        Folder beside which the journal lies; its lock must be held.
    run
        A run with steps that stand.

    Raises
    ------
    RefusedError
        If a file has changed since, or an original is gone; the message names it.
    """
    root = root_of(home, run)
    steps = [s for s in sorted(run.steps, key=lambda s: -s.number) if s.state != "undone"]
    pending = [step for step in steps if _needs_undo(home, root, step)]
    if not run.undoing:
        journal.append(home, run.id, "undo")
    undone = []
    for step in steps:
        operation = from_document(step.operation)
        if step in pending:
            _take_back(home, root, operation)
            undone.append(Undone(operation=operation))
        journal.append(home, run.id, "undone", n=step.number)
    journal.append(home, run.id, "undo-end")
    return tuple(undone)


def was_done(root: Path, step: Step) -> bool:
    """Whether an operation whose end the journal does not tell took place.

    Raises
    ------
    RefusedError
        If its file is neither as before nor as after.
    """
    operation = from_document(step.operation)
    target = root / operation.target
    match operation.reverse():
        case RenameImage(target=original):
            if target.exists() and not (root / original).exists():
                return True
            if (root / original).exists() and not target.exists():
                return False
        case RestoreFile(before_sha256=before):
            found = sha256_of(target) if target.exists() else ""
            if found in (step.after, before):
                return found == step.after
        case RemoveCreated():
            if not target.exists():
                return False
            if sha256_of(target) == step.after:
                return True
    raise RefusedError(
        f"{target} is neither as it was before nor as it was to become.",
        "Look at it and at the journal in .primecoat; nothing was changed now.",
    )


def _needs_undo(home: Path, root: Path, step: Step) -> bool:
    """Whether a step stands and can be taken back; refuse if it can not."""
    operation = from_document(step.operation)
    target = root / operation.target
    reverse = operation.reverse()
    if step.state == "intent":
        return was_done(root, step)
    match reverse:
        case RenameImage(target=original):
            if not target.exists() and (root / original).exists():
                return False
            _expect(target, step.after)
            if (root / original).exists() and not (root / original).samefile(target):
                raise RefusedError(
                    f"{original} is there again, so {operation.target} cannot get its name back.",
                    "Move one of the two away, then undo.",
                )
        case RestoreFile(before_sha256=before):
            if target.exists() and sha256_of(target) == before:
                return False
            _expect(target, step.after)
            kept = before_file(home, before)
            if not kept.exists() or sha256_of(kept) != before:
                raise RefusedError(
                    f"The kept original of {operation.target} is missing from {kept.parent}.",
                    "Restore it from a copy.",
                )
        case RemoveCreated(source=source):
            if not target.exists():
                return False
            _expect_ours(target, step, root / source if source else None)
    return True


def _expect(target: Path, sha256: str) -> None:
    if not target.exists() or sha256_of(target) != sha256:
        raise RefusedError(
            f"{target} has changed since primecoat wrote it; it was left alone.",
            "Move your changed file away and keep it, then undo.",
        )


def _expect_ours(target: Path, step: Step, source: Path | None) -> None:
    """Refuse to remove a file that is not surely the one made, or that is the last copy."""
    identity = Identity.of(target)
    same_file = (identity.device, identity.inode) == (step.device, step.inode)
    shared = source is not None and source.exists() and source.samefile(target)
    if not shared:
        _expect(target, step.after)
    linked = step.method in ("hard link", "reflink", "copy")
    if linked and not shared and not (source and source.exists()):
        raise RefusedError(
            f"{target} is the last copy: its original {source} is gone.",
            "Put the original back (a copy of this file will do), then undo.",
        )
    if shared and not same_file:
        raise RefusedError(
            f"{target} is another file than the one primecoat made.", "Look at it, then undo."
        )


def _take_back(home: Path, root: Path, operation: Operation) -> None:
    target = root / operation.target
    try:
        match operation.reverse():
            case RenameImage(target=original):
                rename_new(target, root / original)
            case RestoreFile(before_sha256=before):
                replace_bytes(target, before_file(home, before).read_bytes())
            case RemoveCreated():
                remove(target)
    except OSError as error:
        raise RefusedError(
            f"Stopped at {target}: {error.strerror or error}.",
            "Mend the cause, then undo again.",
        ) from error
