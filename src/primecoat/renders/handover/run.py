"""Hand over masters, single frames and sequences: what is done stays done, what fails is listed."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from primecoat import jobs
from primecoat.colour.ocio import conversion_id, library_version
from primecoat.config.look_view import look_view_id
from primecoat.documents import dumps, load
from primecoat.errors import InputError, PrimecoatError, UseError
from primecoat.files import (
    folder_lock,
    replace_bytes,
    sha256_of,
    sha256_of_bytes,
    state_folder,
    sweep_asides,
)
from primecoat.images.oiio import library_version as image_library_version
from primecoat.reading.names import tagged_name
from primecoat.renders.frame import open_frame
from primecoat.renders.handover.frame_job import (
    FrameJob,
    HandedOver,
    NotHandedOver,
    Recipe,
    hand_over,
)
from primecoat.renders.sequence import numbered
from primecoat.version import __version__

DOCUMENT: Final = "primecoat.handover/1"
MANIFEST: Final = "handover.json"
"""Name of the list of what was handed over, in its folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Handover:
    """What handing over came to.

    Parameters
    ----------
    recipe
        What was done.
    folder
        Where the files are.
    entries
        All files that stand proved in the folder, of this run and earlier ones with the same
        recipe, as the manifest lists them.
    made, kept
        How many were made now, and how many were there already.
    failed
        Frames that failed.
    """

    recipe: Recipe
    folder: Path
    entries: tuple[dict[str, Any], ...]
    made: int
    kept: int
    failed: tuple[NotHandedOver, ...]


def hand_over_all(
    masters: Iterable[str],
    recipe: Recipe,
    folder: Path,
    *,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
) -> Handover:
    """Make one file of each master.

    A file gets its name only when it is whole and proved; a run that is cut short leaves none by
    halves, and the next goes on where it stopped.

    Parameters
    ----------
    masters
        Files, or patterns of sequences such as ``beauty.####.exr``.
    recipe
        What is done.
    folder
        Where to; made if it is not there. The masters' own folder is refused.
    workplace
        Where it is done.
    progress
        Told what is done.

    Raises
    ------
    UseError
        If the folder cannot be made, two masters would get one name, there is no master, or the
        folder holds what was handed over in another way.
    """
    paths = [path for name in masters for _, path in numbered(name)]
    targets = _targets(paths, recipe, folder)
    _make(folder, paths)
    with folder_lock(folder, "handover"):
        sweep_asides([folder])
        done = _all(targets, recipe, folder, workplace, progress)
    with contextlib.suppress(OSError):  # the lock's folder, if nothing else is in it
        state_folder(folder).rmdir()
    return done


def recipe_document(recipe: Recipe) -> dict[str, Any]:
    """Return a recipe as the manifest tells it; the same text means the same files."""
    kind = recipe.kind
    look = recipe.look
    return {
        "kind": kind.name,
        "space": kind.space,
        "number": recipe.storing.number,
        "compression": recipe.storing.compression,
        "said_space": recipe.space,
        "layer": recipe.layer,
        "part": recipe.part,
        "display": recipe.display or None,
        "view": recipe.view or None,
        "look": None
        if look is None
        else {
            "file": look.path.name,
            "sha256": look.sha256,
            "correction": look.correction,
            "works_in": look.works_in,
            "gives": look.gives,
            "clamps": look.clamp,
        },
        "over_black": recipe.over_black,
        "mended": recipe.mend,
        "config": recipe.config,
    }


def _all(
    targets: dict[Path, Path],
    recipe: Recipe,
    folder: Path,
    workplace: jobs.Workplace,
    progress: jobs.Progress | None,
) -> Handover:
    earlier = _earlier(folder, recipe)
    entries = dict(earlier)
    waiting = [(m, t) for m, t in targets.items() if not _stands(m, t, earlier, recipe)]
    sizes = [master.stat().st_size for master, _ in waiting]
    items = [FrameJob(master=m, target=t, recipe=recipe) for m, t in waiting]
    engine = workplace.engine(sum(sizes) * 8 if len(items) > 1 else 0)
    failed: dict[int, NotHandedOver] = {}
    read = made = 0
    for index, result in engine.run(hand_over, items):
        if isinstance(result, jobs.WorkerDiedError):
            result = NotHandedOver(
                master=items[index].master,
                reason=f"{str(result)[:1].upper()}{str(result)[1:]}.",
                remedy="Hand it over with --workers 1, which shows whether memory was short.",
            )
        if isinstance(result, HandedOver):
            entries[result.target.name] = _entry(result, recipe)
            made += 1
            _write(folder, recipe, entries)
        else:
            failed[index] = result
        read += sizes[index]
        if progress:
            progress(made + len(failed), len(items), read, sum(sizes))
    if not items:
        _write(folder, recipe, entries)
    return Handover(
        recipe=recipe,
        folder=folder,
        entries=tuple(entries[name] for name in sorted(entries)),
        made=made,
        kept=len(targets) - len(items),
        failed=tuple(failed[index] for index in sorted(failed)),
    )


def _targets(paths: Sequence[Path], recipe: Recipe, folder: Path) -> dict[Path, Path]:
    if not paths:
        raise UseError("No master was named.", "Name a file, or a pattern such as 'tea.####.exr'.")
    kind = recipe.kind
    found: dict[Path, Path] = {}
    for path in dict.fromkeys(paths):
        target = folder / tagged_name(path.name, kind.space, kind.ending)
        if target in found.values():
            raise UseError(
                f"Two masters would become {target.name}.", "Hand them over into two folders."
            )
        found[path] = target
    return found


def _make(folder: Path, paths: Sequence[Path]) -> None:
    if any(path.parent.resolve() == folder.resolve() for path in paths):
        raise UseError(
            f"The masters lie in {folder}.", "Name another folder with --out, beside them."
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UseError(
            f"Cannot make the folder {folder}: {error.strerror}.", "Give another --out."
        ) from error


def _earlier(folder: Path, recipe: Recipe) -> dict[str, dict[str, Any]]:
    """Return what an earlier run handed over by the same recipe, by file name."""
    path = folder / MANIFEST
    if not path.exists():
        return {}
    try:
        document = load(path, DOCUMENT)
        entries = {str(entry["file"]): dict(entry) for entry in document["files"]}
        same = document["recipe"] == recipe_document(recipe)
    except (InputError, KeyError, TypeError) as error:
        raise UseError(
            f"{path} is there and is no list of what was handed over.",
            "Move it away, or give another folder with --out.",
        ) from error
    if not same:
        raise UseError(
            f"{folder} holds what was handed over in another way.",
            "Give another folder with --out, one for each way.",
        )
    return entries


def _stands(master: Path, target: Path, earlier: dict[str, dict[str, Any]], recipe: Recipe) -> bool:
    """Whether a file was made of this very master by this very maths, and is as it was made."""
    entry = earlier.get(target.name)
    if entry is None or not target.is_file() or not master.is_file():
        return False
    try:
        maths = _maths(str(entry.get("master_space")), recipe)
    except PrimecoatError:
        return False
    return bool(
        entry.get("maths") == maths
        and entry.get("sha256") == sha256_of(target)
        and entry.get("master_sha256") == sha256_of(master)
    )


def _maths(space: str, recipe: Recipe) -> str:
    """Return a hash of all steps and numbers between master and file, and of what runs them."""
    kind = recipe.kind
    steps = (
        look_view_id(space, recipe.display, recipe.view, recipe.config, recipe.look)
        if kind.display
        else conversion_id(space, kind.space, recipe.config)
    )
    words = (steps, __version__, library_version(), image_library_version())
    return sha256_of_bytes("\n".join(words).encode())


def _entry(done: HandedOver, recipe: Recipe) -> dict[str, Any]:
    return {
        "file": done.target.name,
        "sha256": done.sha256,
        "master": done.master.as_posix(),
        "master_sha256": done.master_sha256,
        "master_space": done.space,
        "master_space_said_by": done.said_by,
        "maths": _maths(done.space, recipe),
        "counts": done.counts,
        "proved": list(done.proved),
    }


def _write(folder: Path, recipe: Recipe, entries: dict[str, dict[str, Any]]) -> None:
    document = {
        "document": DOCUMENT,
        "primecoat": __version__,
        "libraries": {
            "OpenColorIO": library_version(),
            "OpenImageIO": image_library_version(),
        },
        "recipe": recipe_document(recipe),
        "files": [entries[name] for name in sorted(entries)],
    }
    replace_bytes(folder / MANIFEST, dumps(document).encode())


def check_first(masters: Iterable[str], recipe: Recipe) -> None:
    """Refuse at once what is wrong with every frame: nobody says the space, or a view was passed.

    Raises
    ------
    UseError
        If the first master says no space, or lacks the layer.
    ImageError
        If it cannot be read.
    """
    for name in masters:
        _, path = numbered(name)[0]
        open_frame(
            path,
            space=recipe.space,
            layer=recipe.layer,
            part=recipe.part,
            config=recipe.config,
        )
