"""Carry out a plan: check everything first, then one journaled operation after the other."""

from __future__ import annotations

import os
import tempfile
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import assert_never

from primecoat.apply import journal
from primecoat.apply.journal import (
    before_file,
    cut_torn_line,
    keep,
    plan_file,
    read_runs,
    root_of,
)
from primecoat.bake.picture import bake_picture
from primecoat.documents import dumps
from primecoat.errors import PrimecoatError, RefusedError
from primecoat.files import (
    ASIDE_PREFIX,
    ASIDE_SUFFIX,
    Identity,
    create_bytes,
    folder_lock,
    link_new,
    rename_new,
    replace_bytes,
    sha256_of,
    sha256_of_bytes,
    state_folder,
)
from primecoat.plan.operations import (
    BakeImage,
    ExtractImage,
    LinkImage,
    Operation,
    RenameImage,
    WriteScene,
    as_document,
)
from primecoat.plan.plan import Plan
from primecoat.plan.reach import leads_out
from primecoat.scenes.model import Scene
from primecoat.scenes.registry import changed, read_scene

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One operation that was carried out, and how."""

    operation: Operation
    method: str


def apply_plan(plan: Plan, *, progress: Progress | None = None) -> tuple[Done, ...]:
    """Carry out a plan.

    Every file that the plan touches is hashed before anything is changed; if one is not as it
    was when the plan was made, nothing is done.

    Raises
    ------
    RefusedError
        If a file has changed, a name is taken, an earlier run was cut short, another process
        works here, or an operation leads out of the plan's root.
    """
    if not plan.operations:
        return ()
    _refuse_wrong_place(plan)
    home = plan.home
    with folder_lock(home, "apply"):
        cut_torn_line(home)
        _refuse_open_runs(home)
        document = dumps(replace(plan, findings=()).as_document({})).encode()
        plan_sha256 = sha256_of_bytes(document)
        if _stands(home, plan_sha256):
            return ()
        seen = {n: verify(plan, operation) for n, operation in enumerate(plan.operations)}
        keep(plan_file(home, plan_sha256), document)
        for operation in plan.operations:
            if isinstance(operation, WriteScene) and operation.replaces_sha256:
                _keep_before(home, plan.root / operation.target, operation.replaces_sha256)
        run = uuid.uuid4().hex
        journal.append(
            home,
            run,
            "begin",
            plan=plan_sha256,
            root=Path(os.path.relpath(plan.root, home)).as_posix(),
            target=Path(os.path.relpath(plan.target, home)).as_posix(),
        )
        return finish_run(plan, run, seen, progress)


def finish_run(
    plan: Plan, run: str, seen: Mapping[int, Identity], progress: Progress | None = None
) -> tuple[Done, ...]:
    """Carry out the operations of a begun run that are not finished, then close it.

    Parameters
    ----------
    seen
        What :func:`verify` returned for each operation that is to be carried out, by its number.
    """
    done = []
    for number, operation in enumerate(plan.operations):
        if number in seen:
            done.append(_carry_out(plan, run, number, operation, seen[number]))
        if progress:
            progress(number + 1, len(plan.operations))
    journal.append(plan.home, run, "end")
    return tuple(done)


def _refuse_open_runs(home: Path) -> None:
    if any(run.open for run in read_runs(home)):
        raise RefusedError(
            f"An earlier run in {home} was cut short.",
            "Finish it or take it back first: primecoat recover TARGET [--back].",
        )


def _stands(home: Path, plan_sha256: str) -> bool:
    """Whether this very plan was carried out already and everything it made is still there."""
    return any(
        run.stands
        and run.plan_sha256 == plan_sha256
        and all(_is(root_of(home, run) / s.operation["target"], s.after) for s in run.steps)
        for run in read_runs(home)
    )


def _is(path: Path, sha256: str) -> bool:
    return path.is_file() and sha256_of(path) == sha256


def _keep_before(home: Path, file: Path, sha256: str) -> None:
    modified_ns, data = file.stat().st_mtime_ns, file.read_bytes()
    if sha256_of_bytes(data) != sha256:
        raise RefusedError(
            f"{file} has changed a moment ago; nothing was changed.", "Make a new plan."
        )
    keep(before_file(home, sha256), data, modified_ns=modified_ns)


def _refuse_wrong_place(plan: Plan) -> None:
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


def _reads(operation: Operation) -> str:
    return operation.scene if isinstance(operation, ExtractImage) else operation.source


def refuse_leading_out(root: Path, operation: Operation) -> None:
    """Refuse an operation that would read or write where its plan may not."""
    for path in (_reads(operation), operation.target):
        if leads_out(root, path):
            raise RefusedError(
                f"An operation names {path}, which lies outside {root} or in its state folder; "
                "nothing was changed.",
                "The plan was edited, or a folder was replaced by a link: make a new plan.",
            )


def verify(plan: Plan, operation: Operation) -> Identity:
    """Refuse if an operation's files are not as the plan found them, or not where they may be.

    Returns
    -------
    Identity
        Of the file that is read; of the one that is replaced, where one is.
    """
    refuse_leading_out(plan.root, operation)
    source, target = plan.root / _reads(operation), plan.root / operation.target
    match operation:
        case LinkImage() | RenameImage():
            _same(source, operation.sha256)
        case BakeImage():
            _same(source, operation.source_sha256)
        case WriteScene():
            _same(source, operation.source_sha256)
            if operation.replaces_sha256:
                return _same(target, operation.replaces_sha256)
        case ExtractImage():
            pass
        case _:
            assert_never(operation)
    if os.path.lexists(target):
        raise RefusedError(
            f"The name {operation.target} is taken since the plan was made; nothing was changed.",
            "Make a new plan.",
        )
    return _identity(source)


def _same(path: Path, sha256: str) -> Identity:
    """Return the identity of a file with this content; refuse if it has other content."""
    identity = _identity(path)
    found = sha256_of(path)
    if found != sha256:
        raise RefusedError(
            f"{path} has changed since the plan was made (now {found[:12]}, then {sha256[:12]}); "
            "nothing was changed.",
            "Make a new plan.",
        )
    return identity


def _identity(path: Path) -> Identity:
    try:
        return Identity.of(path)
    except OSError as error:
        raise RefusedError(
            f"Cannot read {path}: {error.strerror}. Nothing was changed.",
            "Put the file back, or make a new plan.",
        ) from error


def _unchanged(path: Path, seen: Identity) -> None:
    """Refuse to go on with a file that is not as it was when everything was checked."""
    if Identity.of(path) != seen:
        raise RefusedError(
            f"Stopped: {path} changed while the plan was carried out.",
            "Go back with 'primecoat recover TARGET --back', then make a new plan.",
        )


def _carry_out(plan: Plan, run: str, number: int, operation: Operation, seen: Identity) -> Done:
    home, target = plan.home, plan.root / operation.target
    source = plan.root / _reads(operation)
    method: str
    try:
        match operation:
            case LinkImage():
                _intend(home, run, number, operation, operation.sha256)
                _unchanged(source, seen)
                method = link_new(source, target, operation.sha256)
            case RenameImage():
                _intend(home, run, number, operation, operation.sha256)
                _unchanged(source, seen)
                rename_new(source, target)
                method = "rename"
            case ExtractImage():
                _intend(home, run, number, operation, operation.sha256)
                create_bytes(target, _embedded(plan, operation))
                method = "write"
            case BakeImage():
                data = _baked(plan, operation)
                _unchanged(source, seen)
                _intend(home, run, number, operation, sha256_of_bytes(data))
                create_bytes(target, data)
                method = "write"
            case WriteScene():
                data = _edited(plan, operation)
                _intend(home, run, number, operation, operation.target_sha256)
                if operation.replaces_sha256:
                    _unchanged(target, seen)
                    replace_bytes(target, data)
                else:
                    create_bytes(target, data)
                method = "write"
            case _:
                assert_never(operation)
        identity = Identity.of(target)
    except OSError as error:
        raise RefusedError(
            f"Stopped at {operation.target}: {error.strerror or error}.",
            "Mend the cause, then 'primecoat recover TARGET' to go on, or with --back to go back.",
        ) from error
    journal.append(
        home,
        run,
        "done",
        n=number,
        device=identity.device,
        inode=identity.inode,
        method=method,
    )
    return Done(operation=operation, method=method)


def _intend(home: Path, run: str, number: int, operation: Operation, after: str) -> None:
    document = as_document(operation)
    journal.append(home, run, "intent", n=number, after=after, operation=document)


def _edited(plan: Plan, operation: WriteScene) -> bytes:
    source = plan.root / operation.source
    new = changed(source, operation.edits, plan.root / operation.target, plan.roots)
    if sha256_of_bytes(new) != operation.target_sha256:
        raise RefusedError(
            f"{operation.source} does not become what was planned.", "Make a new plan."
        )
    return new


@lru_cache(maxsize=1)
def _read_scene(path: Path, name: str, roots: tuple[Path, ...], identity: Identity) -> Scene:
    """Return a scene file, read once for all the pictures that are taken out of it."""
    return read_scene(path, name, roots)


def _embedded(plan: Plan, operation: ExtractImage) -> bytes:
    path = plan.root / operation.scene
    scene = _read_scene(path, operation.scene, plan.roots, Identity.of(path))
    for reference in scene.references:
        if reference.location.place == operation.place and reference.embedded is not None:
            if sha256_of_bytes(reference.embedded) == operation.sha256:
                return reference.embedded
            break
    raise RefusedError(
        f"The picture at {operation.place} in {operation.scene} has changed.", "Make a new plan."
    )


def _baked(plan: Plan, operation: BakeImage) -> bytes:
    with tempfile.TemporaryDirectory(
        prefix=ASIDE_PREFIX, suffix=ASIDE_SUFFIX, dir=state_folder(plan.home)
    ) as folder:
        aside = Path(folder) / Path(operation.target).name
        try:
            bake_picture(
                plan.root / operation.source,
                aside,
                reading=operation.reading,
                to_space=operation.to_space,
                config=operation.config,
                source_sha256=operation.source_sha256,
            )
        except PrimecoatError as error:
            raise RefusedError(
                f"Stopped at {operation.target}: {error.message}",
                "Mend the cause, then 'primecoat recover TARGET' to go on, or --back to go back.",
            ) from error
        return aside.read_bytes()
