"""Prove what a switch of working space does to a scene: its pictures, and why they differ."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat import jobs
from primecoat.checks.survey import Survey
from primecoat.errors import UseError
from primecoat.proof.paths.causes import find_causes
from primecoat.proof.paths.certainty import figure
from primecoat.proof.paths.gltf_stage import GltfSource
from primecoat.proof.paths.kept import (
    Options,
    any_kept,
    options_key,
    read_kept,
    state_key,
    write_kept,
)
from primecoat.proof.paths.model import Stage, stage_key
from primecoat.proof.paths.neutral_stage import NeutralSource
from primecoat.proof.paths.outcome import Proof, SoFar
from primecoat.proof.paths.picture import (
    Rendered,
    difference,
    exposure_of,
    noise,
    render_all,
)
from primecoat.proof.paths.read_back import NOT_OURS, read_back, to_keep
from primecoat.proof.paths.scenario import (
    explicit,
    misread_images,
    today,
    undecided,
    unseen_images,
)
from primecoat.proof.paths.sight import Look, Sight, seen_difference
from primecoat.proof.paths.source import Source
from primecoat.proof.paths.usd_stage import UsdSource

MOST_PIXELS: Final = 1 << 22
"""Largest picture that is traced: this is a measurement."""

CAUSE_PIXELS: Final = 160 * 90
"""Pixels of the smaller pictures that causes are told apart by."""

SEED: Final = 1
"""Chances are the same for every proof, so that two of one scene can be held together."""


def source_of(survey: Survey) -> Source:
    """Return what the stage of a target is made from: its own geometry if that can be read."""
    for scene in survey.readings.inventory.scenes:
        if scene.format == "gltf" and not (gltf := GltfSource(survey, scene)).empty:
            return gltf
        if scene.format == "usd" and not (usd := UsdSource(survey, scene)).empty:
            return usd
    return NeutralSource(survey)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Who is told what while a proof is traced.

    Parameters
    ----------
    tracing, splitting
        How far the pictures, and the causes, are.
    refined
        The pictures so far, each time that they got better.
    """

    tracing: jobs.Progress | None = None
    splitting: jobs.Progress | None = None
    refined: Callable[[SoFar], None] | None = None


def prove(
    survey: Survey,
    options: Options,
    *,
    anew: bool = False,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    told: Told | None = None,
) -> Proof:
    """Trace a scene as it is read today and as it must be read, and split the change.

    Parameters
    ----------
    options
        The old and the new view, size, paths a pixel, and how many causes are looked at alone.
    anew
        Trace even if a proof of the same state and options is kept.

    Raises
    ------
    UseError
        If the size is nothing or too large, or the ray library is not installed.
    """
    (height, width), samples = options.size, options.samples
    if height < 1 or width < 1 or height * width > MOST_PIXELS or samples < 1:
        raise UseError(
            f"A proof of {width} x {height} pixels and {samples} samples is not traced.",
            f"Ask for at most {MOST_PIXELS} pixels, and 1 sample or more.",
        )
    source = source_of(survey)
    stages = source.stage(today()), source.stage(explicit(survey))
    home = survey.readings.inventory.home
    state, asked = state_key(survey, stages), options_key(options)
    if not anew and (kept := read_kept(home, state, asked)) is not None:
        with contextlib.suppress(*NOT_OURS):
            return read_back(*kept, survey, options.sights)
    found = _traced(survey, source, stages, options, workplace, told or Told())
    write_kept(home, state, asked, *to_keep(found))
    return found


def kept_proof(survey: Survey, *, told: jobs.Progress | None = None) -> Proof | None:
    """Return the newest proof that is kept of a scene in its present state, if there is one.

    Parameters
    ----------
    told
        Told how many of the steps are done: the scene of today, as it must be read, the proof.
    """
    home = survey.readings.inventory.home
    if not any_kept(home):
        return None
    with contextlib.suppress(*NOT_OURS):
        tell = told or jobs.silent
        tell(0, 3, 0, 0)
        source = source_of(survey)
        old = source.stage(today())
        tell(1, 3, 0, 0)
        state = state_key(survey, (old, source.stage(explicit(survey))))
        tell(2, 3, 0, 0)
        kept = read_kept(home, state)
        found = None if kept is None else read_back(*kept, survey)
        tell(3, 3, 0, 0)
        return found
    return None  # what is kept is a saving of time only


def _traced(
    survey: Survey,
    source: Source,
    stages: tuple[Stage, Stage],
    options: Options,
    workplace: jobs.Workplace,
    told: Told,
) -> Proof:
    start = time.perf_counter()
    height, width = options.size
    same = stage_key(stages[0]) == stage_key(stages[1])
    pictures = render_all(
        [stages[1]] if same else [stages[1], stages[0]],
        options.size,
        samples=options.samples,
        seed=options.seed,
        by_turns=True,
        workplace=workplace,
        progress=told.tracing,
        refined=told.refined and _Refining(told.refined, options.sights, same=same),
    )
    new, old = pictures[0], pictures[-1]
    exposure = exposure_of(new)
    coverage = _coverage(survey, stages[1], new)
    causes = None
    if options.most_causes:
        scale = min(1.0, (CAUSE_PIXELS / (height * width)) ** 0.5)
        causes = find_causes(
            survey,
            source,
            options.sights,
            exposure,
            size=(max(1, round(height * scale)), max(1, round(width * scale))),
            samples=options.samples,
            seed=options.seed,
            most=options.most_causes,
            coverage=coverage,
            workplace=workplace,
            progress=told.splitting,
        )
    looks = (
        Look(basis="rec709", exposure=exposure, sight=options.sights[0]),
        Look(basis="ap1", exposure=exposure, sight=options.sights[1]),
    )
    return Proof(
        words=source.words,
        notes=source.notes,
        size=options.size,
        sights=options.sights,
        old=old.told(),
        new=new.told(),
        exposure=exposure,
        noise=noise(new, exposure),
        change=figure(lambda a, b: seen_difference(a, looks[0], b, looks[1]), old, new),
        from_spectral={
            basis: figure(lambda a, basis=basis: _apart(a, basis, exposure), new)
            for basis in ("rec709", "ap1")
        },
        farther=figure(
            lambda a: _apart(a, "rec709", exposure) - _apart(a, "ap1", exposure), new, signed=True
        ),
        misread=misread_images(survey),
        undecided=tuple(image.record.path for image in undecided(survey)),
        unseen=unseen_images(survey, coverage),
        causes=causes,
        seconds=time.perf_counter() - start,
    )


class _Refining:
    """Passes both pictures on as they get better, at the exposure that the first of them had."""

    def __init__(
        self, told: Callable[[SoFar], None], sights: tuple[Sight, Sight], *, same: bool
    ) -> None:
        self._told = told
        self._sights = sights
        self._held: dict[int, Rendered] = {}
        self._old = 0 if same else 1
        self._exposure = 0.0

    def __call__(self, stage: int, picture: Rendered) -> None:
        self._held[stage] = picture.told()
        new, old = self._held.get(0), self._held.get(self._old)
        if new is None or old is None:
            return
        self._exposure = self._exposure or exposure_of(new)
        self._told(SoFar(sights=self._sights, old=old, new=new, exposure=self._exposure))


def _apart(picture: Rendered, basis: str, exposure: float) -> NDArray[np.float32]:
    one, spectral = (picture.xyz(name) * exposure for name in (basis, "spectral"))
    return difference(one, spectral)


def _coverage(survey: Survey, stage: Stage, picture: Rendered) -> dict[str, float]:
    """Return the share of the picture that is of a surface which an image plugs into."""
    counts = np.bincount(picture.surface.ravel() + 1, minlength=len(stage.meshes) + 1)[1:]
    by_name: dict[str, float] = {}
    for mesh, count in zip(stage.meshes, counts, strict=True):
        share = float(count) / picture.surface.size
        by_name[mesh.surface.name] = by_name.get(mesh.surface.name, 0.0) + share
    found = {}
    for image in survey.readings.images:
        uses = [use.scene_use.use for use in image.uses]
        owners = {use.owner for use in uses}
        everywhere = any(use.slot == "environment" for use in uses)
        share = sum(by_name.get(owner, 0.0) for owner in owners)
        found[image.record.path] = 1.0 if everywhere else share
    return found
