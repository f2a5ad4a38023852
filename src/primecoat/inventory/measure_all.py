"""Measure many pictures by an engine, what is known from earlier runs aside."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from pathlib import Path

from primecoat import jobs
from primecoat.images.oiio import codec_threads
from primecoat.inventory.cache import MeasureCache
from primecoat.inventory.measure import measure_file
from primecoat.inventory.model import Measure

FILE_AS_BYTES = 200_000
"""What a file costs however small it is, in bytes that are read meanwhile; measured."""


def measure_files(
    files: Iterable[Path],
    home: Path,
    *,
    verify: bool = False,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
    only_a_share: bool = False,
) -> dict[Path, Measure]:
    """Return the measure of every file; those that are not known are measured and kept.

    Parameters
    ----------
    files
        The pictures, absolute.
    home
        Folder beside which the state folder with the cache lies.
    verify
        Hash every file again instead of believing size, time and inode.
    workplace
        Where they are measured.
    progress
        Told what is measured.
    only_a_share
        Whether other processes measure other pictures of the same cache meanwhile.
    """
    cache = MeasureCache(home, verify=verify)
    paths = list(dict.fromkeys(files))
    known = {path: measure for path in paths if (measure := cache.get(path))}
    todo = [path for path in paths if path not in known]
    names = _names_of_files(todo)
    files_once = list(names)
    sizes = [_size(path) for path in files_once]
    engine = workplace.engine(sum(sizes) + FILE_AS_BYTES * len(files_once))
    job = partial(_measure, threads=workplace.threads(engine, len(files_once)))
    read = done = 0
    try:
        for index, result in engine.run(job, files_once):
            first, *others = names[files_once[index]]
            known[first] = _told(first, result)
            # a problem's words hold the name
            same = known[first] if not known[first].problem else None
            for path in others:
                known[path] = same or _told(path, next(iter(engine.run(job, [path])))[1])
            for path in (first, *others):
                cache.put(path, known[path])
            read += sizes[index]
            done += 1 + len(others)
            if progress:
                progress(done, len(todo), read, sum(sizes))
    finally:  # what is measured stays, also if the rest is interrupted
        cache.save(only_a_share=only_a_share)
    return {path: known[path] for path in paths}


def _names_of_files(paths: Iterable[Path]) -> dict[Path, list[Path]]:
    """Return the first name of every file with all names that lead to it, by links say."""
    names: dict[object, list[Path]] = {}
    for path in paths:
        try:
            found = path.stat()
        except OSError:
            found = None
        is_one = found is not None and found.st_ino != 0
        key = (found.st_dev, found.st_ino, path.suffix) if found and is_one else path
        names.setdefault(key, []).append(path)
    return {same[0]: same for same in names.values()}


def _told(path: Path, result: Measure | jobs.WorkerDiedError) -> Measure:
    if isinstance(result, jobs.WorkerDiedError):
        return Measure(problem=f"Cannot read the picture {path}: {result}.")
    return result


def _measure(path: Path, *, threads: int) -> Measure:
    with codec_threads(threads):
        return measure_file(path)


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:  # it went away; measuring it will say so
        return 0
