"""Nodes between pictures and shaders that may give another colour in another working space.

Sums, scalar mixes and the like commute with a change of primaries; the rest is gathered with what
goes in, so that what it leaves over can be worked out once the working spaces are known.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from primecoat.colour.ids import UNKNOWN
from primecoat.colour.operation_residual import Operation, OperationInput
from primecoat.location import Location
from primecoat.scenes.materialx_channels import inputs_of, width
from primecoat.scenes.materialx_element import Element
from primecoat.scenes.materialx_file import MaterialXDocument
from primecoat.scenes.materialx_graph import (
    Flow,
    Step,
    follow,
    nodes_inside,
    upstream,
)
from primecoat.scenes.materialx_names import NO_CONVERSION, reading_of
from primecoat.scenes.materialx_spaces import effective_space
from primecoat.scenes.materialx_values import numbers_of
from primecoat.scenes.model import COLOUR_SLOTS, ColourOperation
from primecoat.scenes.operations import ATTENUATION, FACTOR, FACTORED, REASONS, Fed, operation_of

_MOST_STEPS = 64
"""Nodes on the way up from one node that are looked through: many such ways may be long."""


class _Volume(NamedTuple):
    """Inputs of a shader whose light fades along the way through it."""

    colour: str
    depth: str
    weight: str


_VOLUMES = {
    "standard_surface": _Volume("transmission_color", "transmission_depth", "transmission"),
    "open_pbr_surface": _Volume("transmission_color", "transmission_depth", "transmission_weight"),
    "gltf_pbr": _Volume("attenuation_color", "attenuation_distance", "thickness"),
}
"""The weight: without it, no light goes through. In all three, 0 is its default, and a depth of 0
means a thin surface, which tints once."""


def operations(document: MaterialXDocument, flow: Flow) -> Iterator[ColourOperation]:
    """Yield the work on colours of a document, each node once for each owner and slot.

    Parameters
    ----------
    document
        The document.
    flow
        What was met on the way from its shaders to its pictures.
    """
    seen: set[tuple[str, str, str]] = set()
    for step, owner in flow.worked:
        key = (step.node.path, owner, step.slot)
        if key not in seen:
            seen.add(key)
            found = _of_node(document, flow, step, owner)
            if found is not None:
                yield found
    for step, owner in flow.shaders:
        volume = _VOLUMES.get(step.node.category)
        if volume is not None:
            yield from _of_volume(document, flow, step, owner, volume)


def _of_node(
    document: MaterialXDocument, flow: Flow, step: Step, owner: str
) -> ColourOperation | None:
    node = step.node
    factor = node.child("factor") if node.category in FACTORED else None
    if factor is not None:
        tint = _fed(document, flow, factor, step)
        inputs = (
            OperationInput(name="in", colour=True),
            OperationInput(
                name="factor",
                value=tint.numbers[:3] if tint.numbers else None,
                colour=True,
                space=tint.space if tint.space != UNKNOWN else None,
                known_space=tint.space != UNKNOWN,
            ),
        )
        work: Operation | None = Operation(kind="factor", inputs=inputs)
        why = FACTOR
    else:
        fed = [_fed(document, flow, item, step) for item in inputs_of(node)]
        work = operation_of(node.category, step.slot, fed)
        why = REASONS.get(node.category, "")
    if work is None:
        return None
    return _operation(document, flow, step, owner, work, why)


def _of_volume(
    document: MaterialXDocument, flow: Flow, step: Step, owner: str, volume: _Volume
) -> Iterator[ColourOperation]:
    """Yield the colour that light fades by on its way, if there is a way."""
    parts = [step.node.child(name) for name in volume]
    colour, depth, weight = parts
    if colour is None or depth is None or weight is None:
        return
    lengths = (_fed(document, flow, depth, step), _fed(document, flow, weight, step))
    if any(i.numbers is not None and i.numbers[0] <= 0.0 for i in lengths):
        return
    fades = _fed(document, flow, colour, step)
    if fades.grey:
        return
    inputs = (
        OperationInput(
            name="in",
            value=fades.numbers[:3] if fades.numbers else None,
            colour=True,
            space=fades.space if fades.space != UNKNOWN else None,
            known_space=fades.space != UNKNOWN,
        ),
        OperationInput(name="depths", value=(1.0,), width=1),
    )
    steps = follow(colour, "transmission_color", "rgb", step.within)[2]
    yield ColourOperation(
        location=Location(document.file_of(colour).name, document.path_of(colour)),
        owner=owner,
        slot="transmission_color",
        images=_images(steps, owner, flow),
        operation=Operation(kind="attenuation", inputs=inputs),
        why=ATTENUATION,
    )


def _operation(
    document: MaterialXDocument, flow: Flow, step: Step, owner: str, work: Operation, why: str
) -> ColourOperation:
    return ColourOperation(
        location=Location(document.file_of(step.node).name, document.path_of(step.node)),
        owner=owner,
        slot=step.slot,
        images=_images([step], owner, flow),
        operation=work,
        why=why,
    )


def _images(steps: list[Step], owner: str, flow: Flow) -> tuple[str, ...]:
    """Return the pictures that flow into some nodes for a slot that wants colour."""
    found = dict.fromkeys(
        r.holder.active("fileprefix") + r.holder.get("value")
        for r in upstream(steps, owner, flow, most=_MOST_STEPS)
        if r.item.get("type") == "filename" and r.slot in COLOUR_SLOTS
    )
    return tuple(found)


def _fed(document: MaterialXDocument, flow: Flow, item: Element, step: Step) -> Fed:
    """Return what goes into an input."""
    kind = item.get("type")
    holder, spaced, steps = follow(item, step.slot, "rgba"[: width(kind)], step.within)
    if holder is None:
        return Fed(item.name, kind, grey=bool(steps) and all(_grey(s, flow) for s in steps))
    numbers = _numbers(holder.get("value"), kind)
    if numbers is None or not kind.startswith("color"):
        return Fed(item.name, kind, numbers)
    name = effective_space(document, spaced).name
    working = document.root.get("colorspace")
    if name in ("", working, NO_CONVERSION):
        return Fed(item.name, kind, numbers)
    return Fed(item.name, kind, numbers, space=reading_of(name) or UNKNOWN)


def _numbers(text: str, kind: str) -> tuple[float, ...] | None:
    """Return the one, three or four numbers of a value; a truth value is 0 or 1."""
    if text in ("true", "false"):
        return (float(text == "true"),)
    if width(kind) > 1:
        rows = numbers_of(text, "color4" if width(kind) == 4 else "color3")
        return rows[0] if rows else None
    try:
        return (float(text),)
    except ValueError:
        return None


def _grey(first: Step, flow: Flow) -> bool:
    """Whether a node gives the same number in all channels."""
    waiting = [first]
    seen: set[tuple[str, ...]] = set()
    while waiting and len(seen) < _MOST_STEPS:
        step = waiting.pop()
        if step.key() in seen:
            continue
        seen.add(step.key())
        more = _sources_of_grey(step, flow)
        if more is None:
            return False
        waiting += more
    return not waiting


def _sources_of_grey(step: Step, flow: Flow) -> list[Step] | None:
    """Return which nodes must be grey for a node to be so, maybe none; None if it is not."""
    node = step.node
    if width(node.get("type")) == 1 and node.get("type") != "multioutput":
        return []
    if node.get("type") == "multioutput":
        return [] if step.output in (*"rgba", "outr", "outg", "outb", "outa") else None
    if node.category == "luminance":
        return []
    inside = nodes_inside(step, flow)
    if inside:
        return inside
    item = node.child("in") if node.category == "convert" else None
    if item is None:
        return None
    if width(item.get("type")) == 1:
        return []
    return follow(item, step.slot, step.channels, step.within)[2] or None
