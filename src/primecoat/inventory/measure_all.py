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
    sizes = [_size(path) for path in todo]
    engine = workplace.engine(sum(sizes))
    job = partial(_measure, threads=workplace.threads(engine, len(todo)))
    read = 0
    try:
        for done, (index, result) in enumerate(engine.run(job, todo), 1):
            if isinstance(result, jobs.WorkerDiedError):
                result = Measure(problem=f"Cannot read the picture {todo[index]}: {result}.")
            known[todo[index]] = result
            cache.put(todo[index], result)
            read += sizes[index]
            if progress:
                progress(done, len(todo), read, sum(sizes))
    finally:  # what is measured stays, also if the rest is interrupted
        cache.save(only_a_share=only_a_share)
    return {path: known[path] for path in paths}


def _measure(path: Path, *, threads: int) -> Measure:
    with codec_threads(threads):
        return measure_file(path)


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:  # it went away; measuring it will say so
        return 0
