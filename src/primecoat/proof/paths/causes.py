"""Why a picture changes: each cause mended alone, and mended last.

From the scene as it is read today, in Rec.709, to the scene with everything read as it must be, in
AP1. *Alone*: today's scene with this one thing mended, against today's. *Last*: the mended scene
without this one mend, against it whole. Where the two differ, causes act on one another.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat import jobs
from primecoat.checks.survey import Survey
from primecoat.proof.paths.certainty import Figure, figure
from primecoat.proof.paths.model import Known, Stage, stage_key
from primecoat.proof.paths.picture import Rendered, noise, render_all
from primecoat.proof.paths.scenario import (
    Misread,
    Scenario,
    explicit,
    misread_images,
    today,
)
from primecoat.proof.paths.sight import Look, Sight, seen_difference
from primecoat.proof.paths.source import Source

Floats = NDArray[np.float32]

Kind = Literal["image", "images", "colours", "lights", "working space", "view", "match"]

_STEERING: Final = ("normal", "roughness", "glossiness", "metalness", "opacity")
"""Slots that change which way paths go, so that chance is not the same on both sides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One thing that is not as it must be.

    Parameters
    ----------
    kind
        What it is; of the match it is that the old picture has none.
    name
        The image, or words.
    images
        Paths of the images that it is about.
    alone, last
        Mean CIEDE2000 through the view when it is mended alone, and when it is mended last.
    map_alone, map_last
        The same by pixel, shape (height, width).
    floor
        What other chances on both sides add, before it is taken off; 0 where they are the same.
    """

    kind: Kind
    name: str
    images: tuple[str, ...] = ()
    firm: bool = True
    alone: Figure
    last: Figure
    map_alone: Floats
    map_last: Floats
    floor: float = 0.0

    @property
    def effect(self) -> float:
        """The greater of both effects."""
        return max(self.alone.value, self.last.value)

    @property
    def interaction(self) -> float:
        """What mending it last does beyond mending it alone."""
        return self.last.value - self.alone.value

    @property
    def shown(self) -> bool:
        """Whether an effect is told from chance."""
        return any(one.value > max(one.within, 1e-3) for one in (self.alone, self.last))


@dataclass(frozen=True, slots=True, kw_only=True)
class Causes:
    """All causes, those with the greatest effect first, and the whole change."""

    causes: tuple[Cause, ...]
    whole: Figure
    size: tuple[int, int]
    samples: int
    noise: float


@dataclass(frozen=True, slots=True)
class _State:
    scenario: Scenario
    sight: Sight


@dataclass(frozen=True, slots=True)
class _Mend:
    kind: Kind
    name: str
    images: tuple[str, ...] = ()
    firm: bool = True
    steers: bool = False


def find_causes(
    survey: Survey,
    source: Source,
    sights: tuple[Sight, Sight],
    exposure: float,
    *,
    size: tuple[int, int],
    samples: int,
    seed: int,
    most: int,
    coverage: dict[str, float],
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
) -> Causes:
    """Split the change from today's picture to the mended one.

    Parameters
    ----------
    sights
        The old view and the new one.
    exposure
        What light is multiplied by, everywhere the same.
    most
        Images that are looked at one by one: those that cover most; the rest together.
    coverage
        Share of the picture that each image covers.
    """
    first = _State(today(), sights[0])
    end = _State(explicit(survey), sights[1])
    mends = _mends(survey, sights, most, coverage)
    alone = [_mended(first, end, mend) for mend in mends]
    last = [_unmended(end, first, mend) for mend in mends]
    wanted = list(dict.fromkeys(s.scenario for s in (first, end, *alone, *last)))
    made = _rendered(wanted, source, size, samples, seed, workplace, progress)

    def effect(one: _State, other: _State) -> tuple[Figure, Floats]:
        looks = [
            Look(basis=s.scenario.basis, exposure=exposure, sight=s.sight) for s in (one, other)
        ]

        def of(picture: Rendered, second: Rendered) -> Floats:
            return seen_difference(picture, looks[0], second, looks[1])

        pair = made[one.scenario], made[other.scenario]
        return figure(of, *pair), of(*pair)

    found = []
    floor = noise(made[end.scenario], exposure) * np.sqrt(2.0)
    for mend, by_itself, but_one in zip(mends, alone, last, strict=True):
        (lone, lone_map), (late, late_map) = effect(first, by_itself), effect(but_one, end)
        found.append(
            Cause(
                kind=mend.kind,
                name=mend.name,
                images=mend.images,
                firm=mend.firm,
                alone=lone,
                last=late,
                map_alone=lone_map,
                map_last=late_map,
                floor=float(floor) if mend.steers else 0.0,
            )
        )
    return Causes(
        causes=tuple(sorted(found, key=lambda one: -one.effect)),
        whole=effect(first, end)[0],
        size=size,
        samples=made[end.scenario].samples,
        noise=noise(made[end.scenario], exposure),
    )


def _mends(
    survey: Survey, sights: tuple[Sight, Sight], most: int, coverage: dict[str, float]
) -> list[_Mend]:
    misread = sorted(misread_images(survey), key=lambda m: -coverage.get(m.path, 0.0))
    mends = [_image(one) for one in misread[:most]]
    rest = misread[most:]
    if rest:
        mends.append(
            _Mend(
                "images",
                f"{len(rest)} other misread images together",
                tuple(one.path for one in rest),
                all(one.firm for one in rest),
                any(_steers(one) for one in rest),
            )
        )
    if survey.readings.colours:
        mends.append(_Mend("colours", "picked colours not converted"))
    if survey.readings.lights:
        mends.append(_Mend("lights", "colours of lights not converted"))
    mends.append(_Mend("working space", "working space Rec.709"))
    if (sights[0].display, sights[0].view) != (sights[1].display, sights[1].view):
        mends.append(_Mend("view", f"view {sights[0].view}"))
    grade = sights[1].grade
    if grade is not None:
        mends.append(_Mend("match", f"not matched yet ({grade.name})"))
    return mends


def _image(one: Misread) -> _Mend:
    return _Mend("image", one.path, (one.path,), one.firm, _steers(one))


def _steers(one: Misread) -> bool:
    return any(use.scene_use.use.slot in _STEERING for use in one.uses)


def _mended(state: _State, end: _State, mend: _Mend) -> _State:
    scenario = state.scenario
    if mend.images:
        scenario = replace(scenario, judged=scenario.judged | set(mend.images))
    elif mend.kind == "colours":
        scenario = replace(scenario, colours=True)
    elif mend.kind == "lights":
        scenario = replace(scenario, lights=True)
    elif mend.kind == "working space":
        scenario = replace(scenario, basis=end.scenario.basis)
    return _State(scenario, _sight(state.sight, end.sight, mend.kind))


def _unmended(state: _State, first: _State, mend: _Mend) -> _State:
    scenario = state.scenario
    if mend.images:
        scenario = replace(scenario, judged=scenario.judged - set(mend.images))
    elif mend.kind == "colours":
        scenario = replace(scenario, colours=False)
    elif mend.kind == "lights":
        scenario = replace(scenario, lights=False)
    elif mend.kind == "working space":
        scenario = replace(scenario, basis=first.scenario.basis)
    return _State(scenario, _sight(state.sight, first.sight, mend.kind))


def _sight(own: Sight, other: Sight, kind: Kind) -> Sight:
    if kind == "view":
        return replace(own, display=other.display, view=other.view)
    return replace(own, grade=other.grade) if kind == "match" else own


def _rendered(
    wanted: list[Scenario],
    source: Source,
    size: tuple[int, int],
    samples: int,
    seed: int,
    workplace: jobs.Workplace,
    progress: jobs.Progress | None,
) -> dict[Scenario, Rendered]:
    stages: dict[str, Stage] = {}
    keys = []
    known: Known = {}
    for scenario in wanted:
        stage = source.stage(scenario)
        keys.append(stage_key(stage, known))
        stages.setdefault(keys[-1], stage)
    named = list(stages)
    pictures = render_all(
        list(stages.values()),
        size,
        samples=samples,
        seed=seed,
        workplace=workplace,
        progress=progress,
    )
    made = dict(zip(named, pictures, strict=True))
    return {scenario: made[key] for scenario, key in zip(wanted, keys, strict=True)}
