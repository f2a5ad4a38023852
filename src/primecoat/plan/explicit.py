"""Whether a reading is explicit: said by the name or by the scene, and nothing left to a guess."""

from __future__ import annotations

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.plan.agreeing import is_open_still, stays_open, way_to_close, word_wanted
from primecoat.plan.plan import Held
from primecoat.reading.asked import Again
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import FIRM, ImageReading, UseReading
from primecoat.reading.names import split_name
from primecoat.reading.two_ways import FILE_EACH, two_ways_words, wanted_two_ways
from primecoat.scenes.model import ColourValue


def has_token(image: ImageReading) -> bool:
    """Whether the image's own name carries the token of its reading."""
    parts = split_name(image.record.name)
    return parts.token_is_id and parts.token_reading == image.reading


def is_declared(use: UseReading) -> bool:
    """Whether the scene declares the reading of this use.

    What a document declares for all that says nothing counts only where the reading is settled.
    """
    said, judged = use.scene_use.use, use.judgement
    if said.inherited and judged.standing not in FIRM:
        return False
    return said.declared_reading is not None and said.declared_reading == judged.reading


def is_explicit(image: ImageReading) -> bool:
    """Whether nothing about an image's reading is left to a guess."""
    if image.reading == UNKNOWN or not image.record.measures:
        return False
    speaking = [u for u in image.uses if u.scene_use.use.channels != "a"]
    if wanted_two_ways(image):
        return False
    said = has_token(image) or (bool(speaking) and all(is_declared(u) for u in speaking))
    misread = misread_by_standard(image) or any(is_open_still(u) for u in image.uses)
    return said and not misread


def misread_by_standard(image: ImageReading) -> str:
    """Return how a scene's standard reads an image against its reading; empty if it agrees."""
    for use in image.uses:
        fixed = use.scene_use.use.fixed
        alpha = use.scene_use.use.channels == "a"
        if fixed is not None and not alpha and fixed != image.reading and image.reading != UNKNOWN:
            return f"{use.scene_use.use.standard} reads it as {fixed} whatever its name says"
    return ""


def left_to_guess(image: ImageReading, again: Again, plan_from: Again | None = None) -> Held | None:
    """Return what is missing for an image to be explicit; None if nothing is.

    Parameters
    ----------
    again
        The scene or folder as a command names it.
    plan_from
        What a plan starts from, if that is another scene: the one that an earlier run wrote.
    """
    if is_explicit(image):
        return None
    path = image.record.path
    if not image.record.measures:
        return Held(where=path, why="There is no file to read.", remedy="See its finding.")
    wanted = wanted_two_ways(image)
    if wanted:
        return Held(where=path, why=two_ways_words(wanted), remedy=FILE_EACH)
    if image.reading == UNKNOWN:
        return Held(
            where=path,
            why=f"Its reading is {image.standing}.",
            remedy=word_wanted(image, again),
        )
    misread = misread_by_standard(image)
    if misread:
        return Held(
            where=path,
            why=f"It is to be read as {image.reading}, but {misread}.",
            remedy="Convert the picture to the space that the standard wants.",
        )
    otherwise = next((u for u in image.uses if is_open_still(u)), None)
    if otherwise is not None:
        confirm = ""
        if image.standing == "likely":
            confirm = f"Confirm it: {again.command('decide', path, image.reading)}. Then: "
        return Held(
            where=path,
            why=stays_open(otherwise),
            remedy=confirm + way_to_close(otherwise, again),
        )
    if image.standing == "likely":
        return Held(
            where=path,
            why=f"It is likely {image.reading}, but neither its name nor the scene says so"
            + (" for it alone." if any(u.scene_use.use.inherited for u in image.uses) else "."),
            remedy=f"Confirm it: {again.command('decide', path, image.reading)}; "
            "then plan and apply. Or plan --with-likely.",
        )
    return Held(
        where=path,
        why=f"It is {image.reading}, but neither its name nor the scene says so.",
        remedy=f"Use the scene that an earlier run wrote: {plan_from.command('gate')}; to change "
        f"more of it: {plan_from.command('plan')}."
        if plan_from
        else f"Make it explicit: {again.command('plan', '--route', 'tag')}, then apply.",
    )


def value_left_to_guess(colour: ColourReading, again: Again) -> Held | None:
    """Return what is missing for a colour value to be explicit; None if nothing is.

    Parameters
    ----------
    again
        What a plan starts from, as a command names it.
    """
    value = colour.value
    said = value.fixed or value.exception or value.declared_reading not in (None, DATA)
    if said or _is_unwritten_white(value):
        return None
    return Held(
        where=str(value.location),
        why="Nothing in the scene says in which space this colour was picked.",
        remedy="Declare it in the scene: "
        f"{again.command('plan', '--route', 'declare', '--from', 'SPACE')}.",
    )


def _is_unwritten_white(value: ColourValue) -> bool:
    """Whether a colour stands nowhere in the scene and is white, which it is in every space.

    Nobody picked it, so there is nothing to declare: a light whose colour is not written.
    """
    nowhere = value.declared_at is None and value.written_at is None
    return nowhere and value.kelvin is None and value.maximum is None and set(value.value) == {1.0}
