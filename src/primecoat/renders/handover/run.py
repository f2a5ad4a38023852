"""Masters handed over into one folder: each that is missing, then the manifest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from primecoat.documents import dumps, load
from primecoat.errors import ImageError, InputError, RefusedError, UseError
from primecoat.files import folder_lock, replace_bytes, sweep_asides
from primecoat.jobs import USUAL_PLACE, Progress, WorkerDiedError, Workplace
from primecoat.renders.handover import records
from primecoat.renders.handover.job import Done, Failed, Job, hand_over
from primecoat.renders.handover.master import open_master
from primecoat.renders.handover.recipe import Recipe
from primecoat.renders.handover.records import Record
from primecoat.renders.sequence import sequence

KIND = "primecoat.handover/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Handover:
    """What a run came to.

    Parameters
    ----------
    recipe
        What was made of each master.
    folder
        Where the files are.
    manifest
        The file that lists them.
    done
        Files that are there, in the order of the masters.
    failed
        Masters that could not be handed over.
    document
        What the manifest says.
    """

    recipe: Recipe
    folder: Path
    manifest: Path
    done: tuple[Done, ...]
    failed: tuple[Failed, ...]
    document: dict[str, Any]


def hand_over_all(
    names: Sequence[str],
    recipe: Recipe,
    folder: Path | None = None,
    *,
    place: Workplace = USUAL_PLACE,
    progress: Progress | None = None,
) -> Handover:
    """Hand masters over.

    Each file is written aside, read back, and gets its name only when it is whole and as meant. A
    run that was cut short is gone on with: what is there already, of the same recipe and master, is
    not made again.

    Parameters
    ----------
    names
        Files, or patterns of sequences such as ``beauty.####.exr``.
    recipe
        What is made of each; as :func:`primecoat.renders.handover.recipe.checked` returns it.
    folder
        Where the files go; by default a folder named like the kind, beside the first master.
    place
        Where jobs run.
    progress
        Told how far the work has come.

    Raises
    ------
    UseError
        If nobody says a space, or two masters would get one name.
    InputError
        If no master can be read.
    RefusedError
        If another recipe's manifest, or a stranger's, stands in the folder.
    """
    masters = tuple(dict.fromkeys(path for name in names for path in sequence(name)))
    if not masters:
        raise UseError("There is nothing to hand over.", "Name at least one master.")
    target = folder or masters[0].parent / recipe.kind.name
    jobs, failed = _jobs(masters, recipe, target)
    manifest = target / f"handover.{recipe.kind.name}.json"
    _refuse_other(manifest, jobs[0].identity)
    target.mkdir(parents=True, exist_ok=True)
    with folder_lock(target, "handover"):
        store = records.store_of(target, create=True)
        sweep_asides([store])
        done, wrong = _run(jobs, place, progress)
        document = _document(recipe, jobs[0].identity, target, [*failed, *wrong])
        text = dumps(document).encode()
        if not manifest.exists() or manifest.read_bytes() != text:
            replace_bytes(manifest, text)
    return Handover(
        recipe=recipe,
        folder=target,
        manifest=manifest,
        done=tuple(done),
        failed=(*failed, *wrong),
        document=document,
    )


def _jobs(masters: Sequence[Path], recipe: Recipe, folder: Path) -> tuple[list[Job], list[Failed]]:
    """Return a job for each master that can be opened, and what is wrong with the others."""
    identity = recipe.identity()
    jobs: list[Job] = []
    failed: list[Failed] = []
    unreadable: ImageError | None = None
    taken: dict[str, Path] = {}
    for path in masters:
        job = Job(master=path, folder=folder, recipe=recipe, identity=identity)
        other = taken.setdefault(job.output.lower(), path)
        if other != path:
            raise UseError(
                f"{other} and {path} would both be handed over as {job.output}.",
                "Hand them over into different folders with --out.",
            )
        if (folder / job.output).absolute() == path.absolute():
            raise UseError(f"{path} would be written over.", "Name another folder with --out.")
        try:
            open_master(path, recipe)
        except ImageError as error:
            unreadable = error
        except RefusedError as error:
            failed.append(Failed(master=str(path), reason=error.message, remedy=error.remedy))
            continue
        else:
            jobs.append(job)
            continue
        failed.append(Failed(master=str(path), reason=unreadable.message, remedy=unreadable.remedy))
    if not jobs:
        if unreadable is not None:
            raise unreadable
        raise RefusedError(failed[0].reason, failed[0].remedy)
    return jobs, failed


def _run(
    jobs: Sequence[Job], place: Workplace, progress: Progress | None
) -> tuple[list[Done], list[Failed]]:
    sizes = [job.master.stat().st_size for job in jobs]
    total = sum(sizes)
    engine = place.engine(total)
    threads = place.threads(engine, len(jobs))
    ready = [replace(job, threads=threads) for job in jobs]
    done: dict[int, Done] = {}
    failed: dict[int, Failed] = {}
    ended = 0
    for index, result in engine.run(hand_over, ready):
        ended += sizes[index]
        if isinstance(result, Done):
            done[index] = result
        elif isinstance(result, WorkerDiedError):
            failed[index] = Failed(
                master=str(jobs[index].master),
                reason=f"It came to no end: {result}.",
                remedy="Run it again with --workers 1.",
            )
        else:
            failed[index] = result
        if progress is not None:
            progress(len(done) + len(failed), len(jobs), ended, total)
    return [done[i] for i in sorted(done)], [failed[i] for i in sorted(failed)]


def _refuse_other(manifest: Path, identity: str) -> None:
    if not manifest.exists():
        return
    try:
        found = load(manifest, KIND)
    except InputError as error:
        raise RefusedError(
            f"{manifest} is there, and is no manifest of a handover.",
            "Name another folder with --out; nothing is overwritten.",
        ) from error
    if found.get("files") and found.get("recipe_sha256") != identity:
        raise RefusedError(
            f"{manifest.parent} holds files of the same kind by another recipe.",
            "Name another folder with --out, so that each holds one recipe.",
        )


def _document(
    recipe: Recipe, identity: str, folder: Path, failed: Sequence[Failed]
) -> dict[str, Any]:
    """Return what the manifest says: all files of the recipe in the folder, not of this run alone.

    It names no date and no absolute path, so that the same recipe gives the same bytes.
    """
    return {
        "document": KIND,
        "recipe_sha256": identity,
        "recipe": recipe.as_document(),
        "space": recipe.kind.space,
        "files": [_file(record) for record in records.all_of(folder, identity)],
        "failures": [
            {"master": Path(one.master).name, "reason": one.reason, "remedy": one.remedy}
            for one in failed
        ],
    }


def _file(record: Record) -> dict[str, Any]:
    return {
        "output": record.output,
        "sha256": record.sha256,
        "master": record.master,
        "master_sha256": record.master_sha256,
        "made_with": record.made_with,
        **record.figures,
    }
