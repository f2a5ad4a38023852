"""What to set, where an input was not read as it was made."""

from __future__ import annotations

from primecoat.proof.card.candidates import (
    CUT,
    GREEN_DOWN,
    IGNORED,
    KELVIN_BARE,
    KELVIN_RAW,
    SRGB_GREEN_DOWN,
    words_of,
)
from primecoat.proof.card.model import CardReading, InputReading


def remedy(found: InputReading, working: str | None) -> str:
    """Return what to do about an input; empty where it was read as it was made.

    Parameters
    ----------
    found
        How it was read.
    working
        The working space, if it is known.
    """
    if not found.seen_at_all:
        return "It is not in the picture: show it, or leave it out of what you conclude."
    if found.standing == "unknown":
        return "No reading that is tried explains it: look at its settings by hand."
    if found.as_made is None:
        return "Several readings explain it: name the space of the numbers with --in."
    if found.as_made:
        return ""
    return _of_reading(found, working)


def advice(found: CardReading) -> tuple[str, ...]:
    """Return what to set for the whole picture, one sentence each; empty if nothing."""
    said = []
    if found.view is None:
        said.append(
            "No way from light to numbers that is tried explains the grey wedge: render without "
            "a view, or name its config with --config."
        )
    elif found.view_standing == "ambiguous":
        said.append("Several views explain the picture: name the one that was used with --view.")
    elif found.view.baked:
        said.append(
            "A view is baked into the picture: write renders scene-referred (OpenEXR) and leave "
            "the view to the display."
        )
    if found.working_standing == "ambiguous":
        spaces = ", ".join(answer.reading for answer in found.working)
        said.append(
            f"One picture, several working spaces: {spaces}. Name the space of the numbers with "
            "--in, if you know it."
        )
    if found.mirrored:
        said.append("The picture is mirrored.")
    return tuple(said)


def _of_reading(found: InputReading, working: str | None) -> str:
    what = found.path or found.words
    said = words_of(found.reading)
    here = working or "the working space"
    match found.key, found.reading:
        case "normal_map", reading if reading == GREEN_DOWN:
            return f"Turn green round for {what}: its green is up."
        case (("grey_data" | "normal_map"), reading):
            more = ", and turn green round" if reading == SRGB_GREEN_DOWN else ""
            return f"Mark {what} as data{more}: it is decoded as colour."
        case (("constant" | "emission"), "data"):
            return (
                f"Enter constant colours converted to {here}: they are taken as its numbers "
                "(primecoat swatch R,G,B --in lin_rec709_scene)."
            )
        case (("constant" | "emission"), _):
            return f"Enter constant colours as linear numbers: they are read as {said}."
        case (("light_by_colour" | "light_by_temperature"), reading) if reading == IGNORED:
            return f"Switch on the {found.words}: its colour is ignored."
        case "light_by_colour", _:
            return f"Enter colours of lights converted to {here}: they are read as {said}."
        case "light_by_temperature", reading if reading in (KELVIN_RAW, KELVIN_BARE):
            return (
                f"Enter a colour in {here} instead of a temperature (primecoat swatch 3200K): "
                f"it becomes {said}."
            )
        case "environment", reading if reading.endswith(CUT):
            return f"Read {what} as float: what is above 1 is cut off."
    return f"Set the colour space of {what} to {found.made_as}, or bake it: it is read as {said}."
