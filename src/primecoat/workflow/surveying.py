"""Survey a scene, tell what is known of one image, record a person's word."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from primecoat.checks import run_checks
from primecoat.checks.survey import Survey
from primecoat.colour.defaults import DEFAULT_TO
from primecoat.colour.ocio import config_name
from primecoat.errors import InputError, UseError
from primecoat.files import folder_lock
from primecoat.house import House, house_for
from primecoat.inventory import Measure, take_inventory
from primecoat.inventory import measure_share as measure_share_of
from primecoat.jobs import Progress, Shard, Workplace
from primecoat.location import printable
from primecoat.reading.asked import Asked
from primecoat.reading.decisions import Decision, record_decision
from primecoat.reading.evidence import WITNESSES
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import read_all
from primecoat.scenes.collector import collector_at_rest
from primecoat.scenes.folders import Folders
from primecoat.scenes.registry import FORMATS, SUFFIXES
from primecoat.scenes.resolve import resolve
from primecoat.workflow.spaces import space_named, working_space_named


def survey(
    target: Path | str,
    *,
    roots: Sequence[Path] = (),
    from_space: str | None = None,
    to_space: str | None = None,
    config: str | None = None,
    house: Path | str | None = None,
    without: Sequence[str] = (),
    verify: bool = False,
    progress: Progress | None = None,
    workers: int | None = None,
    cluster: str | None = None,
) -> Survey:
    """Read a scene file or a folder: how each image and colour must be read, and what is wrong.

    Parameters
    ----------
    target
        Scene file or folder.
    roots
        Folders the scene may reach.
    from_space, to_space
        Working space the scene was made in, and the one it moves to; by default as the house's
        conventions say, else from evidence, and ``lin_ap1_scene``.
    config
        OpenColorIO config; by default ``$OCIO``, else the house's, else the pinned built-in one.
    house
        File of house conventions, or ``none``; by default ``$PRIMECOAT_HOUSE``, else a
        ``primecoat.toml`` beside the target. Everything said here comes before it.
    without
        Witnesses to leave unheard.
    verify
        Hash every file again.
    progress
        Told what is measured.
    workers, cluster
        Number of processes to measure with, or address of a Dask scheduler (``local`` starts
        one); by default all cores where that pays.

    Raises
    ------
    UseError, InputError
        If the target cannot be read or an argument names nothing.
    """
    asked = Asked(
        roots=tuple(map(Path, roots)),
        from_space=from_space,
        to_space=to_space,
        config=config,
        house=None if house is None else str(house),
    )
    unheard = frozenset(without)
    if unheard - set(WITNESSES):
        raise UseError(
            f"There is no witness {', '.join(sorted(unheard - set(WITNESSES)))}.",
            f"Use one of: {', '.join(WITNESSES)}.",
        )
    own_config = config or os.environ.get("OCIO")
    said = {"roots": roots, "from": from_space, "to": to_space, "config": own_config}
    conventions = _house(target, roots, house).under(**said)
    used_config = config_name(own_config or conventions.config)
    from_space = from_space or conventions.from_space
    made_in = working_space_named(from_space, used_config) if from_space else None
    goes_to = space_named(to_space or conventions.to_space or DEFAULT_TO, used_config)
    with collector_at_rest():
        inventory = take_inventory(
            Path(target),
            roots=roots or conventions.roots,
            verify=verify,
            progress=progress,
            workplace=Workplace(workers, cluster),
        )
        readings = read_all(
            inventory,
            from_space=made_in,
            to_space=goes_to,
            config=used_config,
            without=unheard,
            house=conventions,
            asked=asked,
        )
        return Survey(readings=readings, findings=run_checks(readings))


def judge_again(survey: Survey, *, from_space: str | None = None) -> Survey:
    """Judge a survey again with the decisions as they are on disk now; measure nothing again.

    Parameters
    ----------
    from_space
        As it was given to :func:`survey`.
    """
    readings = survey.readings
    from_space = from_space or readings.house.from_space
    made_in = working_space_named(from_space, readings.config) if from_space else None
    with collector_at_rest():
        again = read_all(
            readings.inventory,
            from_space=made_in,
            to_space=readings.to_space,
            config=readings.config,
            before=readings.images,
            house=readings.house,
            asked=readings.asked,
        )
        return Survey(readings=again, findings=run_checks(again))


def measure_share(
    target: Path | str,
    share: Shard,
    *,
    roots: Sequence[Path] = (),
    house: Path | str | None = None,
    verify: bool = False,
    progress: Progress | None = None,
    workers: int | None = None,
    cluster: str | None = None,
) -> dict[str, Measure]:
    """Measure a share of a target's pictures; a survey after it need not measure them again.

    Parameters
    ----------
    share
        Which of the pictures.
    target, roots, house, verify, progress, workers, cluster
        As for :func:`survey`.

    Returns
    -------
    dict
        Path as in a survey, to what the file was found to be.
    """
    with collector_at_rest():
        return measure_share_of(
            Path(target),
            share,
            roots=roots or _house(target, roots, house).roots,
            verify=verify,
            progress=progress,
            workplace=Workplace(workers, cluster),
        )


def _house(target: Path | str, roots: Sequence[Path], asked: Path | str | None) -> House:
    return house_for(Path(target), roots, None if asked is None else str(asked))


def why(survey: Survey, image: str) -> ImageReading:
    """Return what a survey knows of one image.

    Raises
    ------
    UseError
        If the survey has no such image.
    """
    return image_named(survey, image)


def scenes_using(image: Path) -> tuple[Path, ...]:
    """Return the scene files in an image's folder, and in the one above, that use the image."""
    image = Path(os.path.abspath(image))
    folders = Folders()
    found = []
    for place in (image.parent, image.parent.parent):
        for path in sorted(p for p in place.glob("*.*") if p.suffix.lower() in SUFFIXES):
            try:
                scene = FORMATS[SUFFIXES[path.suffix.lower()]].read(path, path.name)
            except InputError:
                continue
            texts = [r for r in scene.references if r.embedded is None]
            if any(
                image in resolve(r.text, place, (place,), r.text, r.location, folders).files
                for r in texts
            ):
                found.append(path)
    return tuple(found)


def decide(survey: Survey, image: str, reading: str, *, because: str = "") -> Decision | None:
    """Record a person's word on one image; ``unknown`` takes it back.

    Returns
    -------
    Decision or None
        What was recorded; None if an earlier word was taken back.
    """
    home = survey.readings.inventory.home
    path = image_named(survey, image).record.path
    with folder_lock(home, "decide"):
        return record_decision(home, path, reading, because)


def image_named(survey: Survey, image: str) -> ImageReading:
    """Return the one image of a survey that a path or a file name means.

    Raises
    ------
    UseError
        If there is none, or several.
    """
    wanted = image.replace("\\", "/").removeprefix("./")
    images = survey.readings.images
    root = survey.readings.inventory.roots[0]
    inside = Path(os.path.abspath(image))
    also = inside.relative_to(root).as_posix() if inside.is_relative_to(root) else wanted
    for candidates in (
        [i for i in images if i.record.path in (wanted, also)],
        [i for i in images if printable(i.record.path) == wanted],
        [
            i
            for i in images
            if i.record.name == wanted
            or inside in i.record.files
            or wanted in [f.name for f in i.record.files]
        ],
    ):
        if len(candidates) == 1:
            return candidates[0]
        if candidates:
            paths = ", ".join(i.record.path for i in candidates)
            raise UseError(f"{image} can be several images: {paths}.", "Give the whole path.")
    raise UseError(
        f"The survey knows no image {image}.",
        f"See the paths: {survey.readings.again.command('survey')}.",
    )
