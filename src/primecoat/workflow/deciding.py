"""A person's word on many pictures at once, and the last word taken back."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.checks.survey import Survey
from primecoat.colour.ids import UNKNOWN
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


def passed_over(survey: Survey, path: str, reading: str) -> tuple[str, ...]:
    """Return where a person's word changes nothing, since a scene's standard fixes the slot.

    Parameters
    ----------
    path
        The image as the survey names it.
    reading
        What the person says of it.

    Returns
    -------
    tuple
        A sentence for each standard and slot; empty if the word reaches every use.
    """
    said = []
    for image in survey.readings.images:
        for use in image.uses if image.record.path == path else ():
            slot = use.scene_use.use
            if slot.channels != "a" and slot.fixed not in (None, reading) and reading != UNKNOWN:
                said.append(
                    f"{slot.standard} fixes the {slot.slot} slot of {slot.owner} to {slot.fixed}, "
                    "and programs read the picture so whatever is decided: the gate stays closed "
                    f"until it is converted to {slot.fixed} or used elsewhere."
                )
    return tuple(dict.fromkeys(said))


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
