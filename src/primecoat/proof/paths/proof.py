"""The proof of a scene: its pictures in the old and new working space, and why they differ."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from primecoat import jobs
from primecoat.checks.survey import Survey
from primecoat.errors import UseError
from primecoat.proof.paths.causes import Causes, find_causes
from primecoat.proof.paths.gltf_stage import GltfSource
from primecoat.proof.paths.model import Stage, stage_key
from primecoat.proof.paths.neutral_stage import NeutralSource
from primecoat.proof.paths.picture import (
    Figure,
    Rendered,
    difference,
    exposure_of,
    figure,
    noise,
    render_all,
)
from primecoat.proof.paths.scenario import (
    Misread,
    explicit,
    misread_images,
    today,
    undecided,
)
from primecoat.proof.paths.sight import Look, Sight, seen_difference
from primecoat.proof.paths.source import Source

Nearer = Literal["rec709", "ap1", "no difference here"]

MOST_PIXELS: Final = 1 << 22
"""Largest picture that is traced: this is a measurement."""

CAUSE_PIXELS: Final = 160 * 90
"""Pixels of the smaller pictures that causes are told apart by."""

TELLING: Final = 0.05
"""CIEDE2000 below which no difference between working spaces is told, however sure it is: a
twentieth of what an eye just tells apart side by side (common practice, no source)."""

_SEED: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What a switch of working space does to a scene.

    Parameters
    ----------
    words, notes
        What was traced; what stands for what the scene does not have, and what is not traced.
    old
        The scene as it is read today; its picture by Rec.709 is the old one.
    new
        The scene with everything read as it must be; its picture by AP1 is the new one.
    exposure
        What light is multiplied by before the view, in both.
    noise
        Mean CIEDE2000 that chance leaves in the new picture.
    change
        Mean CIEDE2000 through the view from old to new.
    from_spectral
        Mean CIEDE2000 (in X, Y, Z after Bradford, without a view) between the picture of each
        working space and the spectral one, all of the mended scene.
    farther
        That of Rec.709 less that of AP1, on the same paths: above 0 AP1 is nearer.
    misread, undecided
        Images that are misread today; images whose reading nobody knows, read as today.
    seconds
        Time that it took.
    """

    words: str
    notes: tuple[str, ...]
    size: tuple[int, int]
    sights: tuple[Sight, Sight]
    old: Rendered
    new: Rendered
    exposure: float
    noise: float
    change: Figure
    from_spectral: dict[str, Figure]
    farther: Figure
    misread: tuple[Misread, ...]
    undecided: tuple[str, ...]
    causes: Causes | None
    seconds: float

    @property
    def nearer(self) -> Nearer:
        """The working space whose picture is nearer to the spectral one."""
        if not self.farther.sure or abs(self.farther.value) < TELLING:
            return "no difference here"
        return "ap1" if self.farther.value > 0 else "rec709"

    def look(self, basis: str, *, old: bool = False) -> Look:
        """Return how a picture of it is seen."""
        return Look(basis=basis, exposure=self.exposure, sight=self.sights[0 if old else 1])


def source_of(survey: Survey) -> Source:
    """Return what the stage of a target is made from: its own geometry if that can be read."""
    for scene in survey.readings.inventory.scenes:
        if scene.format == "gltf":
            found = GltfSource(survey, scene)
            if not found.empty:
                return found
    return NeutralSource(survey)


def prove(
    survey: Survey,
    sights: tuple[Sight, Sight],
    *,
    size: tuple[int, int],
    samples: int = 16,
    most_causes: int = 8,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    tracing: jobs.Progress | None = None,
    splitting: jobs.Progress | None = None,
) -> Proof:
    """Trace a scene as it is read today and as it must be read, and split the change.

    Parameters
    ----------
    sights
        The old view and the new one.
    size
        Height and width in pixels.
    samples
        Paths for each pixel.
    most_causes
        Misread images that are looked at one by one; 0 to split nothing.
    tracing, splitting
        Told how far the pictures, and the causes, are.

    Raises
    ------
    UseError
        If the size is nothing or too large, or the ray library is not installed.
    """
    height, width = size
    if height < 1 or width < 1 or height * width > MOST_PIXELS or samples < 1:
        raise UseError(
            f"A proof of {width} x {height} pixels and {samples} samples is not traced.",
            f"Ask for at most {MOST_PIXELS} pixels, and 1 sample or more.",
        )
    start = time.perf_counter()
    source = source_of(survey)
    stages = source.stage(today()), source.stage(explicit(survey))
    same = stage_key(stages[0]) == stage_key(stages[1])

    pictures = render_all(
        [stages[1]] if same else [stages[1], stages[0]],
        size,
        samples=samples,
        seed=_SEED,
        by_turns=True,
        workplace=workplace,
        progress=tracing,
    )
    new, old = pictures[0], pictures[-1]
    exposure = exposure_of(new)
    causes = None
    if most_causes:
        scale = min(1.0, (CAUSE_PIXELS / (height * width)) ** 0.5)
        causes = find_causes(
            survey,
            source,
            sights,
            exposure,
            size=(max(1, round(height * scale)), max(1, round(width * scale))),
            samples=samples,
            seed=_SEED,
            most=most_causes,
            coverage=_coverage(survey, stages[1], new),
            workplace=workplace,
            progress=splitting,
        )
    looks = (
        Look(basis="rec709", exposure=exposure, sight=sights[0]),
        Look(basis="ap1", exposure=exposure, sight=sights[1]),
    )
    return Proof(
        words=source.words,
        notes=source.notes,
        size=size,
        sights=sights,
        old=old,
        new=new,
        exposure=exposure,
        noise=noise(new, exposure),
        change=figure(
            lambda a, b: float(seen_difference(a, looks[0], b, looks[1]).mean()), old, new
        ),
        from_spectral={
            basis: figure(lambda a, basis=basis: _apart(a, basis, exposure), new)
            for basis in ("rec709", "ap1")
        },
        farther=figure(lambda a: _apart(a, "rec709", exposure) - _apart(a, "ap1", exposure), new),
        misread=misread_images(survey),
        undecided=tuple(image.record.path for image in undecided(survey)),
        causes=causes,
        seconds=time.perf_counter() - start,
    )


def _apart(picture: Rendered, basis: str, exposure: float) -> float:
    one, spectral = (picture.xyz(name) * exposure for name in (basis, "spectral"))
    return float(difference(one, spectral).mean())


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
