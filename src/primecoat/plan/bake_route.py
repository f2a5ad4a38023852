"""Route *bake*: colour pictures converted to the working space, colours rewritten in it."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.files import sha256_of
from primecoat.images.true_statement import statement
from primecoat.plan.agreeing import make_agree
from primecoat.plan.bakeable import (
    is_multiplied,
    layer_readings,
    refusal,
    tell_of_the_view,
    warn_of_clamping,
)
from primecoat.plan.baked import bake_record, layer_words, recipe_words
from primecoat.plan.declare_route import refuse_closed_formats, switch_working_spaces
from primecoat.plan.draft import Draft
from primecoat.plan.lamps import is_lamp, write_lamp
from primecoat.plan.operations import BakeImage
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import tagged_name
from primecoat.scenes.registry import FORMATS


def plan_bake(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft what the bake route does: data images are never baked.

    A picture that is in the working space already is baked only if its header says that its
    numbers were multiplied.

    Raises
    ------
    RefusedError
        If the pictures' format has no true way to say the space they would be in.
    """
    refuse_closed_formats(draft, "baked")
    switch_working_spaces(draft)
    to_space = draft.readings.to_space
    statement(to_space, draft.storage.ending)
    for image in images:
        if image.reading == DATA or (image.reading == to_space and not is_multiplied(image)):
            make_agree(draft, image)
            continue
        reason = refusal(image, draft)
        if reason:
            draft.hold(image.record.path, *reason)
        else:
            warn_of_clamping(draft, image)
            tell_of_the_view(draft, image)
            _bake(draft, image, to_space)
    for colour in (*draft.readings.colours, *draft.readings.lights):
        if is_lamp(colour):
            write_lamp(draft, colour, to_space)
            continue
        place = colour.value.declared_at
        if place is None or colour.working is None or colour.reading in (UNKNOWN, to_space):
            continue
        module, written_at = FORMATS[colour.scene.format], colour.value.written_at
        name = module.space_name(to_space)
        if written_at is None or not name:
            draft.hold(
                str(colour.value.location),
                f"{module.STANDARD} has no name for {to_space}."
                if written_at
                else "Many colours stand here, and they are not rewritten one by one.",
                "Use the declare route.",
            )
            continue
        before, after = colour.value.written, to_space
        if colour.value.count > 1:
            before = colour.reading
        else:
            after = module.colour_text(before, [colour.working])
        draft.edit(colour.scene, written_at.place, before, after)
        draft.edit(colour.scene, place.place, colour.value.declared or "", name)


def _bake(draft: Draft, image: ImageReading, to_space: str) -> None:
    record = image.record
    ending, storage = draft.storage.ending, draft.storage.as_text()
    against = draft.against if SPACES[image.reading].referred == "display" else None
    display, view = against or ("", "")
    wanted = recipe_words(image.reading, to_space, draft.readings.config, storage, against)
    layers = layer_readings(image, draft)
    said = [layer_words(own.part, own.layer, own.reading) for own in layers]
    steps = []
    for file, measure in zip(record.files, record.measures, strict=True):
        target = file.with_name(tagged_name(file.name, to_space, ending))
        made = draft.made.get(draft.relative(target), "")
        found = bake_record(target)
        same = found.is_of(measure.sha256, wanted, said) or (bool(made) and not found.recipe)
        standing = made or (sha256_of(target) if same else "")
        free = draft.is_free(target, file, standing, record.path)
        if free is None:
            return
        if made and not same:
            stale = found.source_sha256 != measure.sha256
            why = f"before {file.name} changed" if stale else "in another way"
            draft.report(
                "wanted_name_is_taken",
                record.path,
                f"{draft.relative(target)} was baked {why}.",
                "Take that bake back with 'primecoat undo', then plan again.",
            )
            return
        if free:
            steps.append(
                BakeImage(
                    source=draft.relative(file),
                    target=draft.relative(target),
                    source_sha256=measure.sha256,
                    reading=image.reading,
                    to_space=to_space,
                    config=draft.readings.config,
                    storage=storage,
                    layers=layers,
                    display=display,
                    view=view,
                )
            )
    draft.operations += steps
    target = record.files[0].with_name(tagged_name(record.name, to_space, ending))
    for use in image.uses:
        draft.redirect(use.scene_use.scene, use.scene_use.reference, target)
        place = use.scene_use.use.declared_at
        if place is not None and use.scene_use.use.channels != "a":
            scene = use.scene_use.scene
            name = FORMATS[scene.format].space_name(to_space)
            draft.edit(scene, place.place, use.scene_use.use.declared or "", name)
