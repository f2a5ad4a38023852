"""What standing runs made and superseded in a folder."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from primecoat.apply.journal import read_runs, root_of, standing_steps
from primecoat.checks.survey import Survey
from primecoat.errors import InputError
from primecoat.plan.build import is_superseded
from primecoat.plan.operations import WriteScene, from_document
from primecoat.reading.judgement import ImageReading


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What standing runs did; paths are relative to the root.

    Parameters
    ----------
    made
        Files that they made, each with its hash.
    superseded
        Originals that they replaced by others: of a folder only, for a scene counts as it is.
    written
        Scenes that they wrote beside the old ones: what now stands at each place they changed.
    primed
        Originals of such scenes, each with the new scene.
    """

    made: dict[str, str] = field(default_factory=dict)
    superseded: frozenset[str] = frozenset()
    written: dict[str, dict[str, str]] = field(default_factory=dict)
    primed: dict[str, str] = field(default_factory=dict)


def standing_history(home: Path, root: Path, is_folder: bool) -> History:
    """Return what standing runs did in the folder that holds a scene."""
    made: dict[str, str] = {}
    superseded: set[str] = set()
    written: dict[str, dict[str, str]] = {}
    primed: dict[str, str] = {}
    for run, step in standing_steps(read_runs(home)):
        base = root_of(home, run)
        operation = from_document(step.operation)
        target = _from_root(base / operation.target, root)
        made[target] = step.after
        source = step.operation.get("source")
        beside = source is not None and source != operation.target
        stands = (base / operation.target).exists()
        if beside and stands:
            superseded.add(_from_root(base / str(source), root))
        if isinstance(operation, WriteScene) and stands:
            if beside:
                written[target] = {}
                primed[_from_root(base / operation.source, root)] = target
            changes = written.setdefault(target, {})
            changes |= {edit.place: edit.after for edit in operation.edits}
    return History(
        made=made,
        superseded=frozenset(superseded if is_folder else ()),
        written={scene: written[scene] for scene in primed.values()},
        primed=primed,
    )


def primed_scene(survey: Survey) -> Path | None:
    """Return the scene that a standing run wrote beside a target; None if there is none."""
    inventory = survey.readings.inventory
    root = inventory.roots[0]
    found = standing_history(inventory.home, root, False).primed
    name = found.get(_from_root(inventory.target, root))
    return None if name is None else root / name


def _from_root(path: Path, root: Path) -> str:
    return Path(os.path.relpath(path, root)).as_posix()


def superseded_in(survey: Survey) -> frozenset[str]:
    """Return the files that do not count: in a folder, originals that standing runs superseded."""
    inventory = survey.readings.inventory
    if not inventory.target.is_dir():
        return frozenset()
    return standing_history(inventory.home, inventory.roots[0], True).superseded


def originals_of_others(survey: Survey) -> int:
    """Return how many images of a folder are originals that standing runs superseded."""
    try:
        superseded = superseded_in(survey)
    except InputError:  # a journal that cannot be read stops what changes files, not a look
        return 0
    return len(survey.readings.images) - len(counting_images(survey, superseded))


def counting_images(survey: Survey, superseded: frozenset[str]) -> tuple[ImageReading, ...]:
    """Return the images that count, without what :func:`superseded_in` names."""
    root = survey.readings.inventory.roots[0]
    images = survey.readings.images
    return tuple(i for i in images if not is_superseded(i.record, root, superseded))
