"""The heavy part of a plan: its bakes, done by an engine into the store, all or a share of them.

Nothing of the scene is touched here.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from primecoat import jobs
from primecoat.bake.job import BakeJob, FailedBake, bake_into_store
from primecoat.bake.store import StoredBake, discard, key_of, store_of, sweep
from primecoat.errors import PrimecoatError, RefusedError
from primecoat.files import sha256_of_bytes, state_folder
from primecoat.location import counted
from primecoat.plan.operations import BakeImage
from primecoat.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class BakedShare:
    """What baking some pictures of a plan came to.

    Parameters
    ----------
    done
        Finished bakes by the number of their operation.
    failed
        Those that failed, in the order of the plan.
    """

    done: Mapping[int, StoredBake]
    failed: tuple[FailedBake, ...] = ()


class BakesFailedError(RefusedError):
    """Some pictures of a plan could not be baked, so nothing of its scene was changed."""

    def __init__(self, share: BakedShare) -> None:
        first = share.failed[0]
        super().__init__(
            f"{counted(len(share.failed), 'picture')} could not be baked, so nothing in the scene "
            f"was changed; the first is {first.path}: {first.reason}",
            first.remedy,
        )
        self.share = share


def bake_pictures(
    plan: Plan,
    numbers: Iterable[int] | None = None,
    *,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
) -> BakedShare:
    """Bake pictures of a plan into the store; what is finished there is taken.

    Parameters
    ----------
    numbers
        Operations to look at; by default all. Only bakes count.
    workplace
        Where it is done.
    progress
        Told what is done.

    Raises
    ------
    RefusedError
        If nothing can be written in the state folder.
    UseError
        If the workplace does not work.
    """
    wanted = range(len(plan.operations)) if numbers is None else numbers
    bakes = {n: o for n in wanted if isinstance(o := plan.operations[n], BakeImage)}
    if not bakes:
        return BakedShare(done={})
    order = tuple(bakes)
    sizes = [_size(plan.root / bakes[n].source) for n in order]
    engine = workplace.engine(sum(sizes) if len(order) > 1 else 0)
    store = _made_store(plan.home)
    threads = workplace.threads(engine, len(order))
    items = [
        BakeJob(operation=bakes[n], root=plan.root, store=store, threads=threads) for n in order
    ]
    outcomes: dict[int, StoredBake | FailedBake] = {}
    read = 0
    try:
        with contextlib.closing(engine.run(bake_into_store, items)) as results:
            for index, result in results:
                number = order[index]
                if isinstance(result, jobs.WorkerDiedError):
                    result = FailedBake(
                        path=bakes[number].source,
                        reason=f"{str(result)[:1].upper()}{str(result)[1:]}.",
                        remedy="Bake it with --workers 1, which shows whether memory was short.",
                    )
                outcomes[number] = result
                read += sizes[index]
                if progress:
                    progress(len(outcomes), len(order), read, sum(sizes))
    finally:
        sweep(store)  # what workers left that are ended now
    return BakedShare(
        done={n: made for n in order if isinstance(made := outcomes[n], StoredBake)},
        failed=tuple(made for n in order if isinstance(made := outcomes[n], FailedBake)),
    )


def drop_bakes(plan: Plan) -> None:
    """Remove what the store holds for a plan; it has its place in the scene now."""
    bakes = [o for o in plan.operations if isinstance(o, BakeImage)]
    store = store_of(plan.home)
    if bakes and store.is_dir():
        sweep(store)
        with contextlib.suppress(PrimecoatError):  # a config that is gone names no entries
            discard(store, [key_of(operation) for operation in bakes])


def bakes_document(done: Iterable[tuple[BakeImage, StoredBake]]) -> list[dict[str, Any]]:
    """Return finished bakes as a document, sorted by the name that each has or will have."""
    return sorted(
        (
            {
                "source": operation.source,
                "target": operation.target,
                "sha256": stored.sha256,
                "figures": stored.figures,
            }
            for operation, stored in done
        ),
        key=lambda entry: str(entry["target"]),
    )


def bakes_sha256(document: list[dict[str, Any]]) -> str:
    """Return one hash over what was baked; the same however the work was shared out."""
    return sha256_of_bytes(json.dumps(document, sort_keys=True).encode())


def _made_store(home: Path) -> Path:
    state_folder(home, create=True)
    store = store_of(home)
    try:
        store.mkdir(exist_ok=True)
    except OSError as error:
        raise RefusedError(
            f"Cannot make the folder {store}: {error.strerror}.",
            "Give yourself write rights to it, or move what lies there away.",
        ) from error
    sweep(store)
    return store


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:  # it went away; baking it will say so
        return 0
