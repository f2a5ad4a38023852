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
from primecoat.images.header import ImageHeader
from primecoat.images.layers import INTEGERS
from primecoat.images.normal_map import judge_normal_map
from primecoat.plan.bakeable import stale_refuses
from primecoat.plan.baked import bake_record, levels_words
from primecoat.plan.draft import Draft
from primecoat.plan.operations import BakeImage, LevelsOf
from primecoat.plan.recipe import USUAL
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import split_name, tagged_name
from primecoat.scenes.model import DATA_SLOTS
from primecoat.scenes.registry import FORMATS

_NORMAL = "normal"

_OVERSHOOT = 0.05
"""How far below 0 filters and lossy codecs may have taken numbers from 0 to 1."""

_LENGTH_ERROR = 0.1
"""How far from 1 most of a map's vectors may be: noise and lossy files stay below."""


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
        reason = stale_refuses(image) or _refusal(image)
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
    for measure in image.record.measures:
        reason = _layout_refuses(measure.header or header)
        if reason:
            return reason
    return None if _kind(image) == "data" else _vectors_refuse(image, header)


def _layout_refuses(header: ImageHeader) -> tuple[str, str] | None:
    """Return why a file's numbers have no levels of one kind."""
    if header.parts > 1:
        return f"It has {header.parts} parts.", "Split it first."
    types = {kind for part in header.part_headers for kind in part.pixel_types}
    if (types | {header.pixel_type}) & {*INTEGERS, "int32", "int"}:
        return "It holds 32-bit whole numbers (IDs), which have no mean.", "Take them out."
    if len(types) > 1 or any(how.startswith("channels of the types") for how in header.storage):
        return "Its channels are stored as numbers of several types.", "Split it first."
    return None


def _vectors_refuse(image: ImageReading, header: ImageHeader) -> tuple[str, str] | None:
    """Return why vectors cannot be made 1 long again, and what to do; None if they can."""
    if not any(len(one.channels) == 3 for one in colour_layers(header.channels)):
        return (
            f"Its channels {', '.join(header.channels)} hold no normals by their names.",
            "Name them R, G and B where it was made.",
        )
    for measure in image.record.measures:
        found = measure.statistics
        if found is None or found.normals is None:
            continue
        judged = judge_normal_map(found, known=True)
        if judged is not None and judged.damage != "none":
            return f"It is no sound normal map: {judged.words}.", "Mend it, then plan again."
        fit = found.normals.fit("signed" if _kind(image) == "signed normal" else "stored")
        x, y, z = (found.channels[at].distinct for at in found.colour)
        flat = z == 1 < max(x, y)
        if flat or (fit is not None and fit.length_error > _LENGTH_ERROR):
            return (
                "Its vectors are not 1 long: it may hold x and y only, with something else third.",
                "Export it with all three channels; or, if it holds no normals, give it another "
                "slot.",
            )
    return None


def _kind(image: ImageReading) -> LevelsOf:
    """Return what the numbers are: normals below 0 are stored as they are, others as 0 to 1."""
    slots = {use.scene_use.use.slot for use in image.uses} or {image.content}
    if _NORMAL not in slots:
        return "data"
    lows = [
        measure.statistics.channels[at].minimum
        for measure in image.record.measures
        if measure.statistics
        for at in measure.statistics.colour
    ]
    return "signed normal" if min(lows, default=0.0) < -_OVERSHOOT else "normal"


def levels_name(name: str, ending: str) -> str:
    """Return the name of a data picture whose levels were made anew: another than its own.

    Examples
    --------
    >>> levels_name("bowl_rough.<UDIM>.tx", ".tif")
    'bowl_rough_data.<UDIM>.tif'
    >>> levels_name("bowl_rough_data.exr", ".exr")
    'bowl_rough_levels_data.exr'
    """
    tagged = tagged_name(name, DATA, ending)
    if tagged != name:
        return tagged
    parts = split_name(name)
    return f"{parts.stem}{parts.token[:1]}levels{parts.token}{parts.tail}{ending}"


def _rebuild(draft: Draft, image: ImageReading, kind: LevelsOf) -> None:
    record = image.record
    assert record.header is not None
    ending = ".exr" if record.header.format == "openexr" else ".tif"
    storage = replace(USUAL, ending=ending, levels="yes").as_text()
    wanted = levels_words(kind, storage)
    steps = []
    if all(bake_record(file).recipe.startswith(wanted) for file in record.files):
        return  # its levels were made anew already
    for file, measure in zip(record.files, record.measures, strict=True):
        target = file.with_name(levels_name(file.name, ending))
        made = draft.relative(target) in draft.made
        same = bake_record(target).is_of(measure.sha256, wanted)
        if made and not same:
            draft.report(
                "wanted_name_is_taken",
                record.path,
                f"{draft.relative(target)} was made before {file.name} changed.",
                "Take that back with 'primecoat undo', then plan again.",
            )
            return
        free = draft.is_free(target, file, sha256_of(target) if same else "", record.path)
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
    target = record.files[0].with_name(levels_name(record.name, ending))
    for use in image.uses:
        draft.redirect(use.scene_use.scene, use.scene_use.reference, target)
