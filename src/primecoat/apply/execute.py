"""Carry out a plan: check everything first, then one journaled operation after the other."""

from __future__ import annotations

import os
import tempfile
import uuid
from collections.abc import Callable
from dataclasses import dataclass, replace
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
from primecoat.errors import InputError, PrimecoatError, RefusedError
from primecoat.files import (
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
from primecoat.scenes.registry import FORMATS, format_of

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
        If a file has changed, a name is taken, an earlier run was cut short, or another process
        works here.
    """
    if not plan.operations:
        return ()
    home = plan.home
    with folder_lock(home, "apply"):
        cut_torn_line(home)
        _refuse_open_runs(home)
        document = dumps(replace(plan, findings=()).as_document({})).encode()
        plan_sha256 = sha256_of_bytes(document)
        if _stands(home, plan_sha256):
            return ()
        for operation in plan.operations:
            verify(plan, operation)
        keep(plan_file(home, plan_sha256), document)
        for operation in plan.operations:
            if isinstance(operation, WriteScene) and operation.replaces_sha256:
                keep(
                    before_file(home, operation.replaces_sha256),
                    (plan.root / operation.target).read_bytes(),
                )
        run = uuid.uuid4().hex
        journal.append(
            home,
            run,
            "begin",
            plan=plan_sha256,
            root=Path(os.path.relpath(plan.root, home)).as_posix(),
            target=Path(os.path.relpath(plan.target, home)).as_posix(),
        )
        return finish_run(plan, run, frozenset(), progress)


def finish_run(
    plan: Plan, run: str, finished: frozenset[int], progress: Progress | None = None
) -> tuple[Done, ...]:
    """Carry out the operations of a begun run that are not finished, then close it."""
    done = []
    for number, operation in enumerate(plan.operations):
        if number not in finished:
            done.append(_carry_out(plan, run, number, operation))
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


def verify(plan: Plan, operation: Operation) -> None:
    """Refuse if an operation's files are not as the plan found them."""
    match operation:
        case LinkImage() | RenameImage():
            _same(plan.root / operation.source, operation.sha256)
        case BakeImage():
            _same(plan.root / operation.source, operation.source_sha256)
        case WriteScene():
            _same(plan.root / operation.source, operation.source_sha256)
            if operation.replaces_sha256:
                _same(plan.root / operation.target, operation.replaces_sha256)
                return
        case ExtractImage():
            pass
        case _:
            assert_never(operation)
    target = plan.root / operation.target
    if os.path.lexists(target):
        raise RefusedError(
            f"The name {operation.target} is taken since the plan was made; nothing was changed.",
            "Make a new plan.",
        )


def _same(path: Path, sha256: str) -> None:
    try:
        found = sha256_of(path)
    except InputError as error:
        raise RefusedError(
            f"{error.message} Nothing was changed.", "Put the file back, or make a new plan."
        ) from error
    if found != sha256:
        raise RefusedError(
            f"{path} has changed since the plan was made (now {found[:12]}, then {sha256[:12]}); "
            "nothing was changed.",
            "Make a new plan.",
        )


def _carry_out(plan: Plan, run: str, number: int, operation: Operation) -> Done:
    home, target = plan.home, plan.root / operation.target
    method: str
    try:
        match operation:
            case LinkImage():
                _intend(home, run, number, operation, operation.sha256)
                method = link_new(plan.root / operation.source, target)
            case RenameImage():
                _intend(home, run, number, operation, operation.sha256)
                rename_new(plan.root / operation.source, target)
                method = "rename"
            case ExtractImage():
                _intend(home, run, number, operation, operation.sha256)
                create_bytes(target, _embedded(plan, operation))
                method = "write"
            case BakeImage():
                data = _baked(plan, operation)
                _intend(home, run, number, operation, sha256_of_bytes(data))
                create_bytes(target, data)
                method = "write"
            case WriteScene():
                data = _edited(plan, operation)
                _intend(home, run, number, operation, operation.target_sha256)
                (replace_bytes if operation.replaces_sha256 else create_bytes)(target, data)
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
    data = source.read_bytes()
    new = FORMATS[format_of(source)].edit(data, operation.edits)
    if sha256_of_bytes(new) != operation.target_sha256:
        raise RefusedError(
            f"{operation.source} does not become what was planned.", "Make a new plan."
        )
    return new


def _embedded(plan: Plan, operation: ExtractImage) -> bytes:
    scene = FORMATS[format_of(plan.root / operation.scene)].read(
        plan.root / operation.scene, operation.scene
    )
    for reference in scene.references:
        if reference.location.place == operation.place and reference.embedded is not None:
            if sha256_of_bytes(reference.embedded) == operation.sha256:
                return reference.embedded
            break
    raise RefusedError(
        f"The picture at {operation.place} in {operation.scene} has changed.", "Make a new plan."
    )


def _baked(plan: Plan, operation: BakeImage) -> bytes:
    with tempfile.TemporaryDirectory(dir=state_folder(plan.home)) as folder:
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
