"""What a scene says of a picture, made to agree with its reading where it is read otherwise."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.plan.draft import Draft
from primecoat.reading.asked import Again
from primecoat.reading.judgement import ImageReading, UseReading
from primecoat.reading.today import is_misread
from primecoat.scenes.model import DATA_SLOTS
from primecoat.scenes.registry import FORMATS


def declared_name(use: UseReading) -> str:
    """Return the name by which the reading of a use is declared at its place; empty if it can't."""
    written, reading = use.scene_use.use, use.judgement.reading
    if written.declared_at is None or reading in written.refuses:
        return ""
    return FORMATS[use.scene_use.scene.format].space_name(reading)


def make_agree(draft: Draft, image: ImageReading) -> None:
    """Declare each use that is known to be read otherwise, or that is declared in two ways.

    A name does not help there: the scene's own statement, or its standard, decides. What cannot
    be declared is held.
    """
    for use in image.uses:
        if is_open_still(use):
            if declared_name(use):
                declare(draft, use)
            else:
                draft.hold(
                    image.record.path, stays_open(use), way_to_close(use, draft.readings.again)
                )


def is_open_still(use: UseReading) -> bool:
    """Whether a use is known to be read otherwise, or is declared in two ways."""
    return is_misread(use) or bool(use.scene_use.use.contradiction)


def declare(draft: Draft, use: UseReading) -> None:
    """Write the reading of a use at its place; anew where it stands there, for what must agree."""
    written, scene = use.scene_use.use, use.scene_use.scene
    if written.declared_at is not None:
        draft.edit(
            scene,
            written.declared_at.place,
            written.declared or "",
            declared_name(use),
            again=True,
        )


def word_wanted(image: ImageReading, again: Again) -> str:
    """Return how a person says what an image is: ``data`` where all its slots take only that."""
    slots = [u.scene_use.use.slot for u in image.uses if u.scene_use.use.channels != "a"]
    reading = DATA if slots and all(slot in DATA_SLOTS for slot in slots) else "READING"
    return f"Say what it is: {again.command('decide', image.record.path, reading)}."


def stays_open(use: UseReading) -> str:
    """Return in a sentence that a use is read otherwise than it must be."""
    said, judged = use.scene_use.use, use.judgement
    likely = "likely " if judged.standing == "likely" else ""
    if said.contradiction:
        return (
            f"It is {likely}{judged.reading} in {said.slot} of {said.owner}, but is declared in "
            f"two ways: {said.contradiction}."
        )
    return (
        f"It is {likely}{judged.reading} in {said.slot} of {said.owner}, but is read as "
        f"{use.today} whatever its name says: {use.today_why}."
    )


def way_to_close(use: UseReading, again: Again) -> str:
    """Return how a use comes to be read as it must be."""
    if declared_name(use):
        return f"Have the scene say it: {again.command('plan', '--route', 'declare')}, then apply."
    if use.scene_use.use.declared_at is None:
        return f"Declare it where it stands, at {use.scene_use.use.location}."
    standard = FORMATS[use.scene_use.scene.format].STANDARD
    return (
        f"{standard} has no word for {use.judgement.reading} there: "
        f"{again.command('plan', '--route', 'bake')} converts the picture to a space that it has."
    )
