"""Smaller levels of data pictures made anew, where a person asks for it: new files beside the old.

No number of a picture's whole size is changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from primecoat.colour.ids import DATA
from primecoat.errors import UseError
from primecoat.files import sha256_of
from primecoat.images.colour_layers import colour_layers
from primecoat.plan.baked import bake_record, levels_words
from primecoat.plan.draft import Draft
from primecoat.plan.operations import BakeImage, LevelsOf
from primecoat.plan.recipe import USUAL
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import tagged_name
from primecoat.scenes.model import DATA_SLOTS
from primecoat.scenes.registry import FORMATS

_NORMAL = "normal"


def plan_levels(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft new levels of the data images that were asked for, by slot or by path.

    Raises
    ------
    UseError
        If what was asked for is no data slot and no image.
    """
    paths = {image.record.path for image in draft.readings.images}
    for asked in sorted(draft.data_levels - {*DATA_SLOTS} - paths):
        raise UseError(
            f"{asked!r} is neither a data slot nor an image of {draft.readings.inventory.target}.",
            f"Name an image as the survey does, or one of: {', '.join(DATA_SLOTS)}.",
        )
    for image in images:
        slots = {use.scene_use.use.slot for use in image.uses} or {image.content}
        by_path = image.record.path in draft.data_levels
        if not (by_path or slots & draft.data_levels):
            continue
        if image.reading != DATA:
            if by_path:
                draft.hold(
                    image.record.path,
                    f"It is read as {image.reading}, and levels are made of data as data only.",
                    "Leave it out; the bake of a colour picture makes its levels in light.",
                )
            continue
        reason = _refusal(image)
        if reason:
            draft.hold(image.record.path, *reason)
        else:
            _rebuild(draft, image, _kind(image))


def _refusal(image: ImageReading) -> tuple[str, str] | None:
    """Return why levels cannot be made, and what to do; None if they can."""
    header = image.record.header
    if header is None:
        return "Its header cannot be read.", "Export it again, or restore it from a copy."
    if image.record.embedded is not None:
        return "It lies inside a package, which is not written to.", "Unpack the scene first."
    for use in image.uses:
        if not FORMATS[use.scene_use.scene.format].DECLARES:
            standard = use.scene_use.use.standard
            return f"{standard} takes no pictures that hold levels.", "Leave it out."
    if header.parts > 1:
        return f"It has {header.parts} parts.", "Split it first."
    triples = [one for one in colour_layers(header.channels) if len(one.channels) == 3]
    if _kind(image) != DATA and not triples:
        return (
            f"Its channels {', '.join(header.channels)} hold no normals by their names.",
            "Name them R, G and B where it was made.",
        )
    return None


def _kind(image: ImageReading) -> LevelsOf:
    """Return what the numbers are: normals below 0 are stored as they are, others as 0 to 1."""
    slots = {use.scene_use.use.slot for use in image.uses} or {image.content}
    if _NORMAL not in slots:
        return "data"
    lows = [
        channel.minimum
        for measure in image.record.measures
        if measure.statistics
        for channel in measure.statistics.channels
    ]
    return "signed normal" if min(lows, default=0.0) < 0.0 else "normal"


def _rebuild(draft: Draft, image: ImageReading, kind: LevelsOf) -> None:
    record = image.record
    assert record.header is not None
    ending = ".exr" if record.header.format == "openexr" else ".tif"
    storage = replace(USUAL, ending=ending, levels="yes").as_text()
    wanted = levels_words(kind, storage)
    steps = []
    for file, measure in zip(record.files, record.measures, strict=True):
        if bake_record(file).recipe.startswith(wanted):
            continue  # its levels were made anew already
        target = file.with_name(tagged_name(file.name, DATA, ending))
        made = draft.made.get(draft.relative(target), "")
        same = bake_record(target).is_of(measure.sha256, wanted)
        standing = made or (sha256_of(target) if same else "")
        free = draft.is_free(target, file, standing, record.path)
        if free is None:
            return
        if free:
            steps.append(
                BakeImage(
                    source=draft.relative(file),
                    target=draft.relative(target),
                    source_sha256=measure.sha256,
                    reading=DATA,
                    to_space=DATA,
                    config=draft.readings.config,
                    storage=storage,
                    levels_of=kind,
                )
            )
    draft.operations += steps
    target = record.files[0].with_name(tagged_name(record.name, DATA, ending))
    for use in image.uses:
        draft.redirect(use.scene_use.scene, use.scene_use.reference, target)
