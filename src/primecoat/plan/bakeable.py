"""Whether a picture can be baked and stored as asked, and how its further layers are read."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.checks.stale_texture import stale_files
from primecoat.colour.ids import SPACES, UNKNOWN
from primecoat.findings import finding
from primecoat.images.colour_layers import colour_layers
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.images.exr import OTHER_WINDOW
from primecoat.images.header import ImageHeader
from primecoat.images.layers import INTEGERS
from primecoat.images.radiance import FACTORS
from primecoat.plan.draft import Draft
from primecoat.plan.operations import LayerReading
from primecoat.plan.recipe import Storage
from primecoat.reading.judgement import FIRM, ImageReading
from primecoat.scenes.registry import FORMATS

_PLAIN_CHANNELS = ({"R", "G", "B"}, {"R", "G", "B", "A"}, {"Y"}, {"Y", "A"})


UNLIT = frozenset(("backplate", "emissive", "light_color"))
"""Slots whose numbers are light that reaches the eye, not what a surface makes of it."""


def refusal(image: ImageReading, draft: Draft) -> tuple[str, str] | None:
    """Return why an image cannot be baked, and what to do; None if it can."""
    to_space = draft.readings.to_space
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
        reason = _plate_refuses(image, draft)
        if reason:
            return reason
    header = image.record.header
    if header is None:
        return "Its header cannot be read.", "Export it again, or restore it from a copy."
    if "deep" in header.storage:
        return (
            "It holds a list of samples for each pixel.",
            "Flatten it first, or convert it where it was rendered.",
        )
    reason = stale_refuses(image) or _layers_refuse(image, header, draft)
    return reason or _storage_refuses(image, header, draft.storage)


def is_multiplied(image: ImageReading) -> bool:
    """Whether a header says that the stored numbers are the original light times something."""
    return any(
        statement.kind in FACTORS
        for measure in image.record.measures
        if measure.header is not None
        for statement in measure.header.statements
    )


def stale_refuses(image: ImageReading) -> tuple[str, str] | None:
    """Return that an image is older than its source, and what to do; None if it is not."""
    stale = stale_files(image)
    if not stale:
        return None
    source = stale[0].source.name
    return (
        f"{stale[0].words}; new pixels made of it would show the old picture.",
        f"Make it again from {source} as it is now, or let the scene name {source}; then plan "
        f"again. If the old picture is the right one, move {source} away.",
    )


def layer_readings(image: ImageReading, draft: Draft) -> tuple[LayerReading, ...]:
    """Return the reading of each colour layer beside the first; ``unknown`` where none serves."""
    header = image.record.header
    layers = [
        LayerReading(
            part=part,
            layer=layer.name,
            reading=_own(image, part, {channels[at] for at in layer.channels}, draft.with_likely),
        )
        for part, channels in (_parts(header) if header else ())
        for layer in colour_layers(channels)
    ]
    return tuple(layers[1:])


def tell_of_the_view(draft: Draft, image: ImageReading) -> None:
    """Raise a finding that a picture taken back through a view holds for that view only."""
    if draft.against is None or SPACES[image.reading].referred != "display":
        return
    display, view = draft.against
    draft.findings.append(
        finding(
            "bake_holds_for_one_view",
            image.record.path,
            f"It is taken back through the view {view} of {display}; under another view its "
            "colours are others.",
            "Bake it again if the view changes, and use it where nothing lights it: as backplate, "
            "unlit or emissive.",
        )
    )


def warn_of_clamping(draft: Draft, image: ImageReading) -> None:
    """Raise a finding if values beyond half float are to be stored as half."""
    highest = _span(image)[1]
    if draft.storage.number != "half" or highest <= HALF_LARGEST:
        return
    clamped = draft.storage.beyond_half == "clamp"
    draft.findings.append(
        finding(
            "values_exceed_half_float",
            image.record.path,
            f"It reaches {highest:.6g} and half float ends at 65504: "
            + ("what is beyond is stored as 65504." if clamped else "it is stored as float."),
            "Leave --beyond-half clamp away to keep the light."
            if clamped
            else "Nothing, if programs that read it take 32-bit float.",
        )
    )


def _plate_refuses(image: ImageReading, draft: Draft) -> tuple[str, str] | None:
    """Return why a picture that is ready for a display cannot be taken back to light."""
    if draft.against is None:
        return (
            f"It is ready for a display ({image.reading}), and what view to undo is not said.",
            "Name the view it will be seen through with --against; or keep it out of the light, "
            "as an unlit or background picture, with the tag route.",
        )
    slots = [u.scene_use.use.slot for u in image.uses] or [image.content]
    wrong = next((slot for slot in slots if slot not in UNLIT), None)
    if wrong is None:
        return None
    return (
        f"It stands in {wrong}, and a picture taken back through a view holds light, far above 1 "
        "for white, which no surface reflects.",
        f"Use it as {' or '.join(sorted(UNLIT))}; a surface needs its reflectance, not what a "
        "display shows.",
    )


def _layers_refuse(
    image: ImageReading, header: ImageHeader, draft: Draft
) -> tuple[str, str] | None:
    parts = list(_parts(header))
    if not any(colour_layers(channels) for _, channels in parts):
        names = ", ".join(name for _, channels in parts for name in channels)
        return (
            f"Its channels {names} hold no colour by their names.",
            "Name them R, G and B (or Y) where it was made, or use the tag route.",
        )
    open_still = [layer for layer in layer_readings(image, draft) if layer.reading == UNKNOWN]
    if open_still:
        names = ", ".join(_shown(layer) for layer in open_still)
        return (
            f"It holds more than one colour layer, and nothing says how to read {names}.",
            "Split the file, or have each part state its colour space (colorInteropID).",
        )
    return None


def _storage_refuses(
    image: ImageReading, header: ImageHeader, storage: Storage
) -> tuple[str, str] | None:
    whole = storage.number in ("16-bit", "8-bit")
    plain = header.parts == 1 and set(header.channels) in _PLAIN_CHANNELS
    if storage.ending != ".exr" and OTHER_WINDOW in header.storage:
        return (
            f"Its data window is not its display window, and {storage.ending} has one size only.",
            "Store it with --as exr, or export it with one window.",
        )
    types = {kind for part in header.part_headers for kind in part.pixel_types}
    levels = storage.levels == "yes" or (storage.levels == "as source" and header.levels > 1)
    if levels and types & {*INTEGERS}:
        return (
            "Smaller levels are means, and its 32-bit whole numbers (IDs) have none.",
            "Bake it with --mips no, or take the IDs out.",
        )
    if (whole or storage.ending != ".exr") and not plain:
        return (
            f"It has parts or channels beside R, G, B and A, which {storage.ending} with "
            f"{storage.number} numbers does not hold as they are.",
            "Store it with --as exr, or use the tag route for this image.",
        )
    lowest, highest = _span(image)
    if whole and (lowest < 0 or highest > 1):
        return (
            f"It goes from {lowest:.6g} to {highest:.6g}, and {storage.number} numbers hold 0 to "
            "1 only.",
            "Store it with --as exr.",
        )
    return None


def _parts(header: ImageHeader) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield number and channels of every part."""
    if not header.part_headers:
        yield 0, header.channels
    for number, part in enumerate(header.part_headers):
        yield number, part.channels


def _own(image: ImageReading, part: int, channels: set[str], with_likely: bool) -> str:
    """Return the reading of the layer that holds some channels, if it can be acted on."""
    enough = (*FIRM, "likely") if with_likely else FIRM
    for one in image.parts:
        if one.index == part and channels <= {*one.layer.channels}:
            return one.judgement.reading if one.judgement.standing in enough else UNKNOWN
    return UNKNOWN


def _span(image: ImageReading) -> tuple[float, float]:
    """Return the least and the greatest number of an image's colour, over all its files."""
    found = [
        channel
        for measure in image.record.measures
        if measure.statistics
        for channel in measure.statistics.channels
        if channel.name.upper() not in ("A", "ALPHA")
    ]
    lowest = min((channel.minimum for channel in found), default=0.0)
    return lowest, max((channel.maximum for channel in found), default=0.0)


def _shown(layer: LayerReading) -> str:
    return f"part {layer.part + 1}" + (f", layer {layer.layer}" if layer.layer else "")
