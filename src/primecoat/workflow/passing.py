"""The gate: whether everything in a scene is explicit."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.checks.survey import Survey
from primecoat.config.misread_files import misread
from primecoat.findings import Finding
from primecoat.location import pasteable
from primecoat.plan.explicit import left_to_guess, value_left_to_guess
from primecoat.plan.plan import Held
from primecoat.workflow.history import counting_images, primed_scene, superseded_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """Whether a scene may pass: nothing in it is left to a guess, and no finding is an error.

    A target that holds nothing to judge does not pass either, unless that was said to be right.

    Parameters
    ----------
    explicit
        Number of images and colours that are explicit.
    explicit_places
        Where they stand.
    left
        What is left to a guess, and why.
    closed_by
        Codes of findings that keep it closed though they are no errors: a convention of the house.
    empty
        Whether no image, colour or light was found; ``left`` says so, unless it may be.
    """

    survey: Survey
    explicit: int
    left: tuple[Held, ...]
    findings: tuple[Finding, ...]
    closed_by: tuple[str, ...] = ()
    explicit_places: tuple[str, ...] = ()
    empty: bool = False

    @property
    def open(self) -> bool:
        """Whether the scene passes."""
        return not self.left and not self.closing

    @property
    def closing(self) -> tuple[Finding, ...]:
        """The findings that keep it closed."""
        return tuple(f for f in self.findings if f.severity == "error" or f.code in self.closed_by)


def gate(survey: Survey, *, config: str | None = None, may_be_empty: bool = False) -> Gate:
    """Say whether everything in a scene is explicit.

    In a folder, originals that the journal says are superseded do not count.

    Parameters
    ----------
    survey
        A survey made with ``verify=True``.
    config
        OpenColorIO config that the scene will be read with; a file that it misreads is left.
        By default that of the house's conventions, if they name one.
    may_be_empty
        Let pass what holds no image, colour or light: else that is taken for a wrong path.
    """
    readings = survey.readings
    house = readings.house
    config = config or house.applied.get("config")
    superseded = superseded_in(survey)
    images = counting_images(survey, superseded)
    values = [v for v in (*readings.colours, *readings.lights) if v.scene.name not in superseded]
    again, new = readings.again, primed_scene(survey)
    plan_from = again.on(new) if new else None
    left = [left_to_guess(image, again, plan_from) for image in images]
    left += [value_left_to_guess(value, plan_from or again) for value in values]
    missing = tuple(held for held in left if held is not None)
    if config is not None:
        counted_paths = {image.record.path for image in images}
        missing += tuple(
            Held(where=file.where, why=file.why, remedy=file.remedy)
            for file in misread(survey, config)
            if file.image in counted_paths
        )
    if not left and not may_be_empty:
        missing = (_nothing_to_judge(survey),)
    gone = superseded | {i.record.path for i in readings.images} - {i.record.path for i in images}
    counted = tuple(
        f
        for f in survey.findings
        if f.where not in gone and not (f.location and f.location.file in gone)
    )
    places = [i.record.path for i in images] + [str(v.value.location) for v in values]
    explicit = tuple(at for at, held in zip(places, left, strict=True) if held is None)
    return Gate(
        survey=survey,
        explicit=len(explicit),
        left=missing,
        findings=counted,
        closed_by=house.closes_gate,
        explicit_places=explicit,
        empty=not left,
    )


def _nothing_to_judge(survey: Survey) -> Held:
    target = survey.readings.inventory.target
    return Held(
        where=target.name or str(target),
        why=f"There is nothing to judge: {pasteable(target)} holds no image, colour or light.",
        remedy="Check the path, and that what it leads to is mounted. If the scene truly holds "
        "none, say so with --may-be-empty.",
    )
