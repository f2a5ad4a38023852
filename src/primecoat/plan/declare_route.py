"""Route *declare*: the colour space of each image and colour written into the scene."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.colour.ids import UNKNOWN, reading_named
from primecoat.plan.draft import Draft
from primecoat.plan.explicit import is_declared
from primecoat.reading.judgement import ImageReading
from primecoat.scenes.registry import FORMATS


def plan_declare(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft what the declare route does for some images, and for all colours."""
    refuse_closed_formats(draft, "declared")
    for image in images:
        if not image.uses:
            draft.hold(
                image.record.path,
                "No scene here uses it, so there is nothing to declare it in.",
                "Use the tag route.",
            )
        for use in image.uses:
            written = use.scene_use.use
            if written.channels == "a" or is_declared(use) or written.declared_at is None:
                continue
            draft.edit(
                use.scene_use.scene,
                written.declared_at.place,
                written.declared or "",
                use.judgement.reading,
            )
    for colour in (*draft.readings.colours, *draft.readings.lights):
        value = colour.value
        before = value.declared or ""
        open_still = reading_named(before) is None and colour.reading != UNKNOWN
        if value.declared_at is not None and open_still:
            draft.edit(colour.scene, value.declared_at.place, before, colour.reading)


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
