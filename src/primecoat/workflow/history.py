"""What standing runs made and superseded in a folder."""

from __future__ import annotations

import os
from pathlib import Path

from primecoat.apply.journal import read_runs, root_of, standing_steps
from primecoat.checks.survey import Survey
from primecoat.plan.build import is_superseded
from primecoat.plan.operations import from_document
from primecoat.reading.judgement import ImageReading


def standing_history(
    home: Path, root: Path, is_folder: bool
) -> tuple[dict[str, str], frozenset[str]]:
    """Return files that standing runs made (path to hash), and what those superseded.

    Only for a folder do superseded originals stop counting; a scene counts as it is.
    """
    made: dict[str, str] = {}
    superseded: set[str] = set()
    for run, step in standing_steps(read_runs(home)):
        base = root_of(home, run)
        operation = from_document(step.operation)
        target = Path(os.path.relpath(base / operation.target, root)).as_posix()
        made[target] = step.after
        source = step.operation.get("source")
        replaced = source is not None and source != operation.target
        if replaced and (base / operation.target).exists():
            superseded.add(Path(os.path.relpath(base / str(source), root)).as_posix())
    return made, frozenset(superseded if is_folder else ())


def superseded_in(survey: Survey) -> frozenset[str]:
    """Return the files that do not count: in a folder, originals that standing runs superseded."""
    inventory = survey.readings.inventory
    return standing_history(inventory.home, inventory.roots[0], inventory.target.is_dir())[1]


def counting_images(survey: Survey, superseded: frozenset[str]) -> tuple[ImageReading, ...]:
    """Return the images that count, without what :func:`superseded_in` names."""
    root = survey.readings.inventory.roots[0]
    images = survey.readings.images
    return tuple(i for i in images if not is_superseded(i.record, root, superseded))
