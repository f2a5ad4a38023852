"""Route *declare*: the colour space of each image and colour written into the scene."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.errors import RefusedError
from primecoat.plan.agreeing import declare, declared_name, is_open_still, way_to_close
from primecoat.plan.draft import Draft
from primecoat.plan.explicit import is_declared
from primecoat.plan.lamps import is_lamp, write_lamp
from primecoat.reading.judgement import ImageReading
from primecoat.scenes.registry import FORMATS


def plan_declare(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft what the declare route does for some images, and for all colours."""
    refuse_closed_formats(draft, "declared")
    switch_working_spaces(draft)
    again = draft.readings.again
    for image in images:
        if not image.uses:
            draft.hold(
                image.record.path,
                "No scene here uses it, so there is nothing to declare it in.",
                "Use the tag route.",
            )
        for use in image.uses:
            written = use.scene_use.use
            whole = is_declared(use) and not (written.partly or is_open_still(use))
            if written.channels == "a" or whole or written.declared_at is None:
                continue
            if declared_name(use):
                declare(draft, use)
                continue
            module, reading = FORMATS[use.scene_use.scene.format], use.judgement.reading
            place = f" at {written.declared_at.place}" if module.space_name(reading) else ""
            draft.hold(
                image.record.path,
                f"{module.STANDARD} has no name for {reading}{place}.",
                way_to_close(use, again) if is_open_still(use) else "Use the tag route.",
            )
    for colour in (*draft.readings.colours, *draft.readings.lights):
        if is_lamp(colour):
            write_lamp(draft, colour, colour.made_in)
            continue
        value = colour.value
        before = value.declared or ""
        open_still = value.declared_reading is None and colour.reading not in (UNKNOWN, DATA)
        name = FORMATS[colour.scene.format].space_name(colour.reading)
        if value.declared_at is not None and open_still and name:
            draft.edit(colour.scene, value.declared_at.place, before, name)


def switch_working_spaces(draft: Draft) -> None:
    """Add the edits that write the new working space into the scenes that name one.

    They come before those for each image and colour, which replace them at the same place.
    """
    for scene in draft.readings.inventory.scenes:
        module = FORMATS[scene.format]
        try:
            edits = module.switch_edits(
                scene.path, scene.name, draft.readings.to_space, draft.roots
            )
        except RefusedError as error:
            draft.hold(scene.name, f"Its working space stays: {error.message}", error.remedy)
            continue
        for edit in edits:
            draft.edit(scene, edit.place, edit.before, edit.after)


def refuse_closed_formats(draft: Draft, what: str) -> None:
    """Raise a note for every scene whose format keeps its own encodings, and hold the scene."""
    for scene in draft.readings.inventory.scenes:
        module = FORMATS[scene.format]
        if not module.DECLARES:
            draft.report(
                "route_is_not_open_here",
                scene.name,
                f"Nothing was {what} in this scene: {module.WHY_NOT}.",
                "Use the tag route; for programs that need settings by hand see 'primecoat sheet'.",
            )
