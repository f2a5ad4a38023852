"""See that everything is as a plan found it, before and while it is carried out."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import assert_never

from primecoat.apply.difference import difference
from primecoat.apply.earlier import earlier
from primecoat.errors import PrimecoatError, RefusedError
from primecoat.files import Identity, sha256_of, writable
from primecoat.location import counted
from primecoat.plan.operations import (
    BakeImage,
    ExtractImage,
    LinkImage,
    Operation,
    RenameImage,
    WriteScene,
)
from primecoat.plan.plan import Plan
from primecoat.plan.reach import leads_out, writes_another_kind
from primecoat.scenes.model import Edit
from primecoat.scenes.registry import changed


def refuse_wrong_place(plan: Plan) -> None:
    """Refuse a plan whose target is gone or not in its root, or that writes one name twice."""
    if not plan.target.exists():
        raise RefusedError(
            f"The plan is for {plan.target}, which is not there.",
            "Make a new plan where the scene is now.",
        )
    for path in (*plan.roots, plan.target):
        if not path.is_absolute() or Path(os.path.normpath(path)) != path:
            raise RefusedError(f"The plan names {path}, no whole path.", "Make a new plan.")
    if not plan.target.is_relative_to(plan.root):
        raise RefusedError(
            f"The plan's root {plan.root} does not hold its target {plan.target}.",
            "Make a new plan.",
        )
    targets = [plan.root / operation.target for operation in plan.operations]
    if len(set(targets)) < len(targets):
        raise RefusedError("Two operations of the plan write one file.", "Make a new plan.")


def file_read(operation: Operation) -> str:
    """Return the file that an operation reads, relative to the plan's root."""
    return operation.scene if isinstance(operation, ExtractImage) else operation.source


def file_verified(operation: Operation) -> str:
    """Return the file whose identity :func:`verify` returns."""
    replaces = isinstance(operation, WriteScene) and operation.replaces_sha256
    return operation.target if replaces else file_read(operation)


def refuse_leading_out(root: Path, operation: Operation) -> None:
    """Refuse an operation that would read or write where its plan may not."""
    for path in (file_read(operation), operation.target):
        if leads_out(root, path):
            raise RefusedError(
                f"An operation names {path}, which lies outside {root} or is hidden, as its state "
                "folder is; nothing was changed.",
                "The plan was edited, or a folder was replaced by a link: make a new plan.",
            )
    if writes_another_kind(operation):
        raise RefusedError(
            f"An operation would write {operation.target}, which by its ending is neither a scene "
            "nor a picture; nothing was changed.",
            "The plan or the journal was edited or is not of this scene: make a new plan.",
        )


def verify(plan: Plan, operation: Operation) -> Identity:
    """Refuse if an operation's files are not as the plan found them, or not where they may be.

    Returns
    -------
    Identity
        Of the file that is read; of the one that is replaced, where one is.
    """
    refuse_leading_out(plan.root, operation)
    source, target = plan.root / file_read(operation), plan.root / operation.target
    match operation:
        case LinkImage() | RenameImage():
            _same(plan, source, operation.sha256)
        case BakeImage():
            _same(plan, source, operation.source_sha256)
            if not writable(target.parent):
                raise RefusedError(
                    f"Nothing can be written in {target.parent}; nothing was changed.",
                    "Give yourself write rights, or work on a copy of the scene.",
                )
        case WriteScene():
            _same(plan, source, operation.source_sha256, operation.edits)
            if operation.replaces_sha256:
                return _same(plan, target, operation.replaces_sha256)
        case ExtractImage():
            pass
        case _:
            assert_never(operation)
    if os.path.lexists(target):
        raise RefusedError(
            f"The name {operation.target} is taken since the plan was made; nothing was changed.",
            "Make a new plan.",
        )
    return identity_of(source)


def _same(plan: Plan, path: Path, sha256: str, edits: Sequence[Edit] = ()) -> Identity:
    """Return the identity of a file with this content; refuse if it has other content."""
    identity = identity_of(path)
    if sha256_of(path) != sha256:
        what = difference(path, earlier(plan.home, plan.root, path, sha256))
        raise RefusedError(
            f"{path} has changed since the plan was made ({what}{_places(plan, path, edits)}); "
            "nothing was changed.",
            "Make a new plan.",
        )
    return identity


def _places(plan: Plan, scene: Path, edits: Sequence[Edit]) -> str:
    """Return whether what was planned for a scene would still fit it."""
    if not edits:
        return ""
    try:
        changed(scene, edits, scene, plan.roots)
    except PrimecoatError as error:
        return f"; {error.message.rstrip('.')}"
    return f"; the {counted(len(edits), 'place')} that the plan changes are as they were"


def identity_of(path: Path) -> Identity:
    """Return the identity of a file; refuse if it is not there."""
    try:
        if path.exists() and not path.is_file():
            raise RefusedError(f"{path} is no ordinary file any more.", "Make a new plan.")
        return Identity.of(path)
    except OSError as error:
        raise RefusedError(
            f"Cannot read {path}: {error.strerror}. Nothing was changed.",
            "Put the file back, or make a new plan.",
        ) from error


def refuse_changed(path: Path, seen: Identity) -> None:
    """Refuse to go on with a file that is not as it was when everything was checked."""
    now = Identity.of(path)
    if now != seen:
        raise RefusedError(
            f"Stopped: {path} changed while the plan was carried out ({moved(seen, now)}).",
            "Take the run back with 'primecoat recover --back', then make a new plan.",
        )


def moved(seen: Identity, now: Identity) -> str:
    """Return in what two looks at a file differ.

    Examples
    --------
    >>> one = Identity(device=1, inode=2, size=30, modified_ns=0)
    >>> moved(one, Identity(device=1, inode=2, size=31, modified_ns=0))
    'it had 30 bytes and has 31'
    """
    if (seen.device, seen.inode) != (now.device, now.inode):
        return "another file has its name"
    if seen.size != now.size:
        return f"it had {seen.size} bytes and has {now.size}"
    return "it was written anew"
