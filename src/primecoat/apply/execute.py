"""Carry out a plan: check everything first, then one journaled operation after the other."""

from __future__ import annotations

import os
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import assert_never

from primecoat import jobs
from primecoat.apply import journal
from primecoat.apply.bakes import BakedShare, BakesFailedError, bake_pictures, drop_bakes
from primecoat.apply.difference import difference
from primecoat.apply.earlier import earlier
from primecoat.apply.journal import (
    before_file,
    cut_torn_line,
    keep,
    plan_file,
    read_runs,
    root_of,
)
from primecoat.apply.verify import (
    file_read,
    file_verified,
    identity_of,
    moved,
    refuse_changed,
    refuse_leading_out,
    refuse_wrong_place,
    verify,
)
from primecoat.bake.store import StoredBake
from primecoat.documents import dumps
from primecoat.errors import RefusedError
from primecoat.files import (
    Identity,
    create_bytes,
    folder_lock,
    link_new,
    rename_new,
    replace_bytes,
    sha256_of,
    sha256_of_bytes,
)
from primecoat.location import pasteable
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
from primecoat.reading.decisions import today, user_name
from primecoat.scenes.model import Scene
from primecoat.scenes.registry import changed, read_scene


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One operation that was carried out, and how; of a bake, what it came to."""

    operation: Operation
    method: str
    baked: StoredBake | None = None


def apply_plan(
    plan: Plan,
    *,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    baking: jobs.Progress | None = None,
    progress: jobs.Progress | None = None,
) -> tuple[Done, ...]:
    """Carry out a plan.

    Every file that the plan touches is hashed before anything is changed; if one is not as it
    was when the plan was made, nothing is done. Then all pictures are baked into the store; only
    when that is done, names and scenes are changed.

    Parameters
    ----------
    workplace
        Where pictures are baked.
    baking, progress
        Told what is baked, and what is carried out.

    Raises
    ------
    BakesFailedError
        If a picture could not be baked; the others wait in the store for the next run.
    RefusedError
        If a file has changed, a name is taken, an earlier run was cut short, another process
        works here, or an operation leads out of the plan's root.
    """
    if not plan.operations:
        return ()
    refuse_wrong_place(plan)
    home = plan.home
    with folder_lock(home, "apply"):
        cut_torn_line(home)
        _refuse_open_runs(home)
        document, plan_sha256 = _kept_form(plan)
        if _stands(plan, plan_sha256):
            drop_bakes(plan)
            return ()
        seen = {n: verify(plan, operation) for n, operation in enumerate(plan.operations)}
        baked = bake_all(plan, seen, workplace, baking)
        keep(plan_file(home, plan_sha256), document)
        for operation in plan.operations:
            if isinstance(operation, WriteScene) and operation.replaces_sha256:
                file = plan.root / operation.target
                _keep_before(home, plan.root, file, operation.replaces_sha256)
        run = uuid.uuid4().hex
        journal.append(
            home,
            run,
            "begin",
            plan=plan_sha256,
            root=Path(os.path.relpath(plan.root, home)).as_posix(),
            target=Path(os.path.relpath(plan.target, home)).as_posix(),
            by=user_name(),
            when=today(),
        )
        return finish_run(plan, run, seen, baked, progress)


def bake_all(
    plan: Plan,
    seen: Mapping[int, Identity],
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
) -> Mapping[int, StoredBake]:
    """Bake every picture that is to be carried out, and see that no file changed meanwhile.

    Parameters
    ----------
    seen
        As for :func:`finish_run`.

    Raises
    ------
    RefusedError
        If a picture could not be baked or a file changed; nothing of the scene was touched.
    """
    share = bake_pictures(plan, seen, workplace=workplace, progress=progress)
    if share.failed:
        raise BakesFailedError(share)
    for number, identity in seen.items() if share.done else ():
        path = plan.root / file_verified(plan.operations[number])
        now = identity_of(path)
        if now != identity:
            raise RefusedError(
                f"{path} changed while pictures were baked ({moved(identity, now)}); "
                "nothing was changed.",
                "Make a new plan.",
            )
    return share.done


def bake_share(
    plan: Plan,
    share: jobs.Shard,
    *,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
) -> BakedShare:
    """Bake a share of a plan's pictures into the store; take no lock and touch no scene.

    Any number of shares can be at work at once.

    Parameters
    ----------
    share
        Which of the plan's bakes, in the order of the plan.

    Raises
    ------
    RefusedError
        If the plan is not for this place, or nothing can be written in the state folder.
    """
    refuse_wrong_place(plan)
    bakes = [n for n, operation in enumerate(plan.operations) if isinstance(operation, BakeImage)]
    if not bakes or _stands(plan, _kept_form(plan)[1]):
        return BakedShare(done={})
    own = share.share(bakes)
    for number in own:
        refuse_leading_out(plan.root, plan.operations[number])
    return bake_pictures(plan, own, workplace=workplace, progress=progress)


def _kept_form(plan: Plan) -> tuple[bytes, str]:
    """Return the document under which a plan is kept, and its hash."""
    document = dumps(replace(plan, findings=()).as_document({})).encode()
    return document, sha256_of_bytes(document)


def finish_run(
    plan: Plan,
    run: str,
    seen: Mapping[int, Identity],
    baked: Mapping[int, StoredBake],
    progress: jobs.Progress | None = None,
) -> tuple[Done, ...]:
    """Carry out the operations of a begun run that are not finished, then close it.

    Parameters
    ----------
    seen
        What :func:`verify` returned for each operation that is to be carried out, by its number.
    baked
        The finished bake for each of them that is one.
    """
    done, count = [], len(plan.operations)
    for number, operation in enumerate(plan.operations):
        if number in seen:
            stored = baked.get(number)
            done.append(_carry_out(plan, run, number, operation, seen[number], stored))
        if progress:
            progress(number + 1, count, 0, 0)
    journal.append(plan.home, run, "end")
    drop_bakes(plan)
    return tuple(done)


def _refuse_open_runs(home: Path) -> None:
    if any(run.open for run in read_runs(home)):
        raise RefusedError(
            f"An earlier run in {home} was cut short.",
            f"Finish it first: primecoat recover {pasteable(home)}; or take it back: add --back.",
        )


def _stands(plan: Plan, plan_sha256: str) -> bool:
    """Whether this very plan was carried out already and everything it made is still there."""
    return any(
        run.stands
        and run.plan_sha256 == plan_sha256
        and root_of(plan.home, run) == plan.root
        and not any(leads_out(plan.root, s.operation["target"]) for s in run.steps)
        and all(_is(plan.root / s.operation["target"], s.after) for s in run.steps)
        for run in read_runs(plan.home)
    )


def _is(path: Path, sha256: str) -> bool:
    return path.is_file() and sha256_of(path) == sha256


def _keep_before(home: Path, root: Path, file: Path, sha256: str) -> None:
    modified_ns, data = file.stat().st_mtime_ns, file.read_bytes()
    if sha256_of_bytes(data) != sha256:
        what = difference(file, earlier(home, root, file, sha256))
        raise RefusedError(
            f"{file} has changed a moment ago ({what}); nothing was changed.", "Make a new plan."
        )
    keep(before_file(home, sha256), data, modified_ns=modified_ns)


def _carry_out(
    plan: Plan,
    run: str,
    number: int,
    operation: Operation,
    seen: Identity,
    baked: StoredBake | None,
) -> Done:
    home, target = plan.home, plan.root / operation.target
    source = plan.root / file_read(operation)
    method: str
    try:
        match operation:
            case LinkImage():
                _intend(home, run, number, operation, operation.sha256)
                refuse_changed(source, seen)
                method = link_new(source, target, operation.sha256)
            case RenameImage():
                _intend(home, run, number, operation, operation.sha256)
                refuse_changed(source, seen)
                rename_new(source, target)
                method = "rename"
            case ExtractImage():
                _intend(home, run, number, operation, operation.sha256)
                create_bytes(target, _embedded(plan, operation))
                method = "write"
            case BakeImage():
                assert baked is not None, "every bake is done before anything is carried out"
                _intend(home, run, number, operation, baked.sha256)
                refuse_changed(source, seen)
                link_new(baked.picture, target, baked.sha256)
                method = "write"
            case WriteScene():
                data = _edited(plan, operation)
                _intend(home, run, number, operation, operation.target_sha256)
                if operation.replaces_sha256:
                    refuse_changed(target, seen)
                    replace_bytes(target, data)
                else:
                    create_bytes(target, data)
                method = "write"
            case _:
                assert_never(operation)
        journal.append_done(home, run, number, target, method)
    except OSError as error:
        raise RefusedError(
            f"Stopped at {operation.target}: {error.strerror or error}.",
            f"Mend the cause, then finish the run: primecoat recover {pasteable(home)}; "
            "or take it back: add --back.",
        ) from error
    return Done(operation=operation, method=method, baked=baked)


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
