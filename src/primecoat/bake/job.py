"""One picture of a plan baked into the store; runs in this process, in a worker, or far away."""

from __future__ import annotations

import time
from dataclasses import asdict, dataclass
from pathlib import Path

from primecoat.bake.picture import Baked, bake_picture, versions
from primecoat.bake.rebuild import rebuild_levels
from primecoat.bake.store import StoredBake, find, finish, key_of, unfinished
from primecoat.errors import PrimecoatError
from primecoat.files import Identity, sha256_of
from primecoat.images.oiio import codec_threads
from primecoat.plan.baked import levels_words, record
from primecoat.plan.operations import BakeImage
from primecoat.plan.recipe import storage_from_text


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeJob:
    """One picture to bake.

    Parameters
    ----------
    operation
        What is to be done; its paths are relative to ``root``.
    root, store
        Folders, absolute.
    threads
        For decoding and encoding.
    """

    operation: BakeImage
    root: Path
    store: Path
    threads: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedBake:
    """A picture that could not be baked, why, and what to do."""

    path: str
    reason: str
    remedy: str


def bake_into_store(job: BakeJob) -> StoredBake | FailedBake:
    """Bake a picture into the store, or take what an earlier run finished there.

    Whatever goes wrong is returned, so that one bad picture stops no other.
    """
    operation = job.operation
    try:
        key = key_of(operation)
        return find(job.store, operation, key) or _bake(job, key)
    except PrimecoatError as error:
        return FailedBake(path=operation.source, reason=error.message, remedy=error.remedy)
    except OSError as error:
        return FailedBake(
            path=operation.source,
            reason=f"The system refused: {error.strerror or error}.",
            remedy=f"Check rights and room in {job.store}, and that the picture can be read.",
        )
    except MemoryError:
        return FailedBake(
            path=operation.source,
            reason="There is not enough memory.",
            remedy="Bake it with --workers 1.",
        )
    except Exception as error:  # noqa: BLE001 one picture's fault must not stop the others
        return FailedBake(
            path=operation.source,
            reason=f"The bake came to no end ({type(error).__name__}: {error}).",
            remedy="This is a fault of primecoat: please report it with the picture.",
        )


def _bake(job: BakeJob, key: str) -> StoredBake | FailedBake:
    operation, source = job.operation, job.root / job.operation.source
    began = time.monotonic()
    before = Identity.of(source)
    if sha256_of(source) != operation.source_sha256:
        return _changed(operation, "since the plan was made")
    with unfinished(job.store, operation) as picture, codec_threads(job.threads):
        baked = _made(operation, source, picture)
        if Identity.of(source) != before:
            return _changed(operation, "while it was baked")
        figures = {"number": baked.number, **asdict(baked.tally)}
        return finish(job.store, key, picture, figures, time.monotonic() - began)


def _made(operation: BakeImage, source: Path, picture: Path) -> Baked:
    if operation.levels_of:
        recipe = levels_words(operation.levels_of, operation.storage)
        return rebuild_levels(
            source,
            picture,
            operation.levels_of,
            record=record(f"{recipe}; {versions()}", operation.source_sha256, picture.suffix),
        )
    return bake_picture(
        source,
        picture,
        reading=operation.reading,
        to_space=operation.to_space,
        config=operation.config,
        source_sha256=operation.source_sha256,
        storage=storage_from_text(operation.storage),
        layers={(layer.part, layer.layer): layer.reading for layer in operation.layers},
        against=operation.against,
    )


def _changed(operation: BakeImage, when: str) -> FailedBake:
    return FailedBake(
        path=operation.source, reason=f"It has changed {when}.", remedy="Make a new plan."
    )
