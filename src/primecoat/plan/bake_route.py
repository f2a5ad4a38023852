"""Route *bake*: colour pictures converted to the working space, colours rewritten in it."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.plan.baked import baked_from
from primecoat.plan.declare_route import refuse_closed_formats, switch_working_spaces
from primecoat.plan.draft import Draft
from primecoat.plan.lamps import is_lamp, write_lamp
from primecoat.plan.operations import BakeImage
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import tagged_name
from primecoat.scenes.registry import FORMATS

BAKED_ENDING = ".exr"
_PLAIN_CHANNELS = ({"R", "G", "B"}, {"R", "G", "B", "A"}, {"Y"}, {"Y", "A"})


def plan_bake(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft what the bake route does: data images are never baked."""
    refuse_closed_formats(draft, "baked")
    switch_working_spaces(draft)
    to_space = draft.readings.to_space
    for image in images:
        if image.reading in (DATA, to_space):
            continue
        reason = _refusal(image, to_space)
        if reason:
            draft.hold(image.record.path, *reason)
        else:
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


def _refusal(image: ImageReading, to_space: str) -> tuple[str, str] | None:
    """Return why an image cannot be baked, and what to do; None if it can."""
    header = image.record.header
    closed = [
        u.scene_use.use.standard
        for u in image.uses
        if not FORMATS[u.scene_use.scene.format].DECLARES
    ]
    if closed:
        return (
            f"{closed[0]} fixes how it is read; a baked picture would be read wrongly.",
            "Use the tag route, or bake outside this scene.",
        )
    if image.record.embedded is not None:
        return (
            "It lies inside a package, which is not written to.",
            "Use the declare route; or unpack the scene, and bake that.",
        )
    nameless = [
        FORMATS[u.scene_use.scene.format].STANDARD
        for u in image.uses
        if not FORMATS[u.scene_use.scene.format].space_name(to_space)
    ]
    if nameless:
        return f"{nameless[0]} has no name for {to_space}.", "Choose another --to."
    if SPACES[image.reading].referred == "display":
        return (
            f"It is ready for a display ({image.reading}), and what view to undo is not said.",
            "Keep it out of the light, as an unlit or background picture, with the tag route.",
        )
    if header is None or header.parts > 1 or set(header.channels) not in _PLAIN_CHANNELS:
        return (
            "It has parts or channels beside R, G, B and A.",
            "Use the tag route for this image.",
        )
    return None


def _bake(draft: Draft, image: ImageReading, to_space: str) -> None:
    record = image.record
    steps = []
    for file, measure in zip(record.files, record.measures, strict=True):
        target = file.with_name(tagged_name(file.name, to_space, BAKED_ENDING))
        made = draft.made.get(draft.relative(target))
        free = draft.is_free(target, file, made or "", record.path)
        if free is None:
            return
        if made and baked_from(target) not in ("", measure.sha256):
            draft.report(
                "wanted_name_is_taken",
                record.path,
                f"{draft.relative(target)} was baked before {file.name} changed.",
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
                )
            )
    draft.operations += steps
    target = record.files[0].with_name(tagged_name(record.name, to_space, BAKED_ENDING))
    for use in image.uses:
        draft.redirect(use.scene_use.scene, use.scene_use.reference, target)
        place = use.scene_use.use.declared_at
        if place is not None and use.scene_use.use.channels != "a":
            scene = use.scene_use.scene
            name = FORMATS[scene.format].space_name(to_space)
            draft.edit(scene, place.place, use.scene_use.use.declared or "", name)
