"""A person's word on many pictures at once, and the last word taken back."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.checks.survey import Survey
from primecoat.errors import UseError
from primecoat.files import folder_lock
from primecoat.reading.decisions import Decision, record_decisions, take_back_step


def decide_all(
    survey: Survey, images: Sequence[str], reading: str, *, because: str = ""
) -> tuple[Decision, ...]:
    """Record a person's word on some pictures as one step; ``unknown`` takes earlier words back.

    Parameters
    ----------
    images
        Paths as the survey names them.

    Returns
    -------
    tuple
        What was recorded; empty if earlier words were taken back.

    Raises
    ------
    UseError
        If the survey has no such picture, or there is no such reading; nothing was recorded.
    """
    known = {image.record.path for image in survey.readings.images}
    missing = [image for image in images if image not in known]
    if missing:
        raise UseError(f"The survey knows no image {missing[0]}.", "Survey again.")
    home = survey.readings.inventory.home
    with folder_lock(home, "decide"):
        return tuple(record_decisions(home, images, reading, because).values())


def take_back(survey: Survey, steps: int = 1) -> tuple[str, ...]:
    """Take back the last decisions on a scene, newest first.

    Parameters
    ----------
    steps
        How many acts, 1 or more; what was decided at one time is one act.

    Returns
    -------
    tuple
        Paths of the pictures whose decisions are as they were before.

    Raises
    ------
    UseError
        If there is nothing to take back.
    RefusedError
        If the decisions were changed since by other means.
    """
    home = survey.readings.inventory.home
    paths: dict[str, None] = {}
    with folder_lock(home, "decide"):
        for number in range(steps):
            step = take_back_step(home)
            if step is None and number == 0:
                raise UseError("There is no decision to take back.", "")
            if step is None:
                break
            paths |= dict.fromkeys(image for image, _ in step.before)
    return tuple(paths)
