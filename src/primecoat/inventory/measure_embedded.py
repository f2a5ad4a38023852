"""Measure pictures that stand inside scene files, where all others are measured."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path

from primecoat import jobs
from primecoat.inventory.measure import measure_file
from primecoat.inventory.model import Measure


def measure_embedded(
    pictures: Sequence[tuple[str, bytes, str]], workplace: jobs.Workplace
) -> list[Measure]:
    """Return the measure of each picture.

    Parameters
    ----------
    pictures
        Path as a survey shows it, bytes, and media type.
    workplace
        Where they are measured.
    """
    if not pictures:
        return []
    with tempfile.TemporaryDirectory(prefix="primecoat-") as folder:
        paths = []
        for number, (_, data, media_type) in enumerate(pictures):
            path = Path(folder) / f"image{number}{embedded_suffix(data, media_type)}"
            path.write_bytes(data)
            paths.append(path)
        engine = workplace.engine(sum(len(data) for _, data, _ in pictures))
        found = dict(engine.run(measure_file, paths))
    return [_measure(found[n], shown) for n, (shown, _, _) in enumerate(pictures)]


def _measure(result: Measure | jobs.WorkerDiedError, shown: str) -> Measure:
    if isinstance(result, jobs.WorkerDiedError):
        return Measure(problem=f"Cannot read the picture {shown}: {result}.")
    return result


def embedded_suffix(data: bytes, media_type: str) -> str:
    r"""Return the file ending for a picture held inside a scene file, from its first bytes.

    Examples
    --------
    >>> embedded_suffix(b"\x89PNG", ""), embedded_suffix(b"", "image/jpeg")
    ('.png', '.jpg')
    """
    if data.startswith(b"\x89PNG") or media_type == "image/png":
        return ".png"
    if data.startswith(b"\xff\xd8") or media_type == "image/jpeg":
        return ".jpg"
    if data[8:12] == b"WEBP" or media_type == "image/webp":
        return ".webp"
    return ".ktx2" if media_type == "image/ktx2" else ".bin"
