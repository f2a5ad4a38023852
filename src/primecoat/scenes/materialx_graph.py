"""What flows where in a MaterialX document: from shader inputs upstream to images and values.

Source: *MaterialX Specification 1.39*, sections *Nodes*, *Node Graph Elements* and *Inputs*. A
connection is followed through node graphs, their interfaces, and through nodes that the document
defines itself; on the way it is kept which channels are wanted.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from primecoat.scenes.materialx_channels import OutOfFlow, by_output, inputs_of, through, width
from primecoat.scenes.materialx_element import NODEDEF, NODEGRAPH, Element
from primecoat.scenes.model import COLOUR_SLOTS
from primecoat.scenes.operations import FACTORED, REASONS
from primecoat.scenes.shading import LIGHT_SHADERS, SHADERS, slot_of

_NO_NODES = ("input", "output", "nodedef", "nodegraph", "implementation", "typedef", "token")

_LONGEST_INTERFACE = 64
"""Interfaces that one value is looked for through; longer chains are taken for circles."""


class Reached(NamedTuple):
    """An input that has a value, in its own right or by an interface, and what it ends up as.

    A tuple, like a step, because there are many and a tuple is made fastest.

    Parameters
    ----------
    node, item
        The node, and the input that it has.
    output
        Output of the node that is connected, where one is named.
    holder
        The input that holds the value: of the node, of a node graph around it, or of an instance.
    spaced
        The input whose colour space the MaterialX library goes by.
    owner
        Name of the material or light.
    slot
        Slot of the scene model.
    channels
        Letters of ``rgba`` wanted from the node's output.
    """

    node: Element
    item: Element
    output: str
    holder: Element
    spaced: Element
    owner: str
    slot: str
    channels: str


class Step(NamedTuple):
    """A node to go through, for one slot and some channels, inside some instances."""

    node: Element
    output: str
    slot: str
    channels: str
    within: tuple[Element, ...] = ()

    def key(self) -> tuple[str, ...]:
        """Return what tells a step from others; equal for equal ones."""
        inside = [element.path for element in self.within] if self.within else ()
        return self.output, self.slot, self.channels, self.node.path, *inside


@dataclass(slots=True)
class Flow:
    """What is met on the way from the shaders of a document to its pictures.

    Parameters
    ----------
    graphs
        The node graphs that define nodes of the document's own, by the nodes' category.
    shaders
        Every shader with its owner.
    worked
        Every node on the way that :data:`~primecoat.scenes.operations.REASONS` names or that has
        a factor, for a slot that wants colour, with the owner.
    """

    graphs: dict[str, list[Element]]
    shaders: list[tuple[Step, str]] = field(default_factory=list)
    worked: list[tuple[Step, str]] = field(default_factory=list)


def reached(document: Element) -> tuple[list[Reached], Flow]:
    """Return every input with a value that flows into a shader or light, once for each slot."""
    flow = Flow(_graphs_by_category(document))
    found: list[Reached] = []
    for start, owner in _shaders(document, flow):
        flow.shaders.append((start, owner))
        shader = start.node
        for item in inputs_of(shader):
            slot = slot_of(shader.category, item.name, item.get("type"))
            channels = "rgba"[: width(item.get("type"))]
            holder, spaced, steps = follow(item, slot, channels, start.within)
            if holder is not None:
                found.append(Reached(shader, item, "", holder, spaced, owner, slot, channels))
            found += upstream(steps, owner, flow, flow.worked)
    return found, flow


def upstream(
    steps: list[Step],
    owner: str,
    flow: Flow,
    worked: list[tuple[Step, str]] | None = None,
    most: int = sys.maxsize,
) -> Iterator[Reached]:
    """Yield the inputs with values on the way up from some nodes, at most through so many.

    ``worked`` learns of nodes that may not commute.
    """
    seen: set[tuple[str, ...]] = set()
    while steps and len(seen) < most:
        step = steps.pop()
        if step.key() in seen:
            continue
        seen.add(step.key())
        inside = nodes_inside(step, flow)
        if inside:
            steps += inside
            continue
        if worked is not None and _works(step):
            worked.append((step, owner))
        for item in inputs_of(step.node):
            try:
                slot, channels = through(step.node, item, step.slot, step.channels)
            except OutOfFlow:
                continue
            holder, spaced, more = follow(item, slot, channels, step.within)
            if holder is not None:
                yield Reached(step.node, item, step.output, holder, spaced, owner, slot, channels)
            steps += more


def _works(step: Step) -> bool:
    """Whether a node may be one that does not commute, on colours for a slot that wants them."""
    node = step.node
    if step.slot not in COLOUR_SLOTS or width(node.get("type")) < 3:
        return False
    factored = node.category in FACTORED and node.child("factor") is not None
    return factored or node.category in REASONS


def _shaders(document: Element, flow: Flow) -> Iterator[tuple[Step, str]]:
    """Yield every shader with its owner: the materials that use it, or itself."""
    owners: dict[tuple[str, ...], tuple[Step, list[str]]] = {}
    for material in _materials(document):
        steps = [s for i in inputs_of(material) for s in follow(i, "", "", ())[2]]
        seen: set[tuple[str, ...]] = set()
        while steps:
            step = steps.pop()
            if step.key() in seen:
                continue
            seen.add(step.key())
            if step.node.category in SHADERS:
                names = owners.setdefault(step.key(), (step, []))[1]
                names.append(material.name)
                continue
            steps += nodes_inside(step, flow) or [
                s for i in inputs_of(step.node) for s in follow(i, "", "", step.within)[2]
            ]
    yield from ((step, ", ".join(names)) for step, names in owners.values())
    met = {step.node.path for step, _ in owners.values()}
    for element in document.below():
        if element.category in SHADERS and element.path not in met:
            yield Step(element, "", "", ""), element.name


def _materials(document: Element) -> list[Element]:
    """Return the material nodes at the top of a document."""
    return [
        child
        for child in document.children_by_name.values()
        if child.get("type") == "material" and child.category not in _NO_NODES
    ]


def is_light(node: Element) -> bool:
    """Whether a node is a light shader."""
    return node.category in LIGHT_SHADERS


def _graphs_by_category(document: Element) -> dict[str, list[Element]]:
    """Return the node graphs that define nodes of the document's own, by the nodes' category."""
    categories = {d.name: d.get("node") for d in document.of_category(NODEDEF)}
    found: dict[str, list[Element]] = {}
    for graph in document.of_category(NODEGRAPH):
        category = categories.get(graph.get("nodedef"))
        if category:
            found.setdefault(category, []).append(graph)
    return found


def nodes_inside(step: Step, flow: Flow) -> list[Step]:
    """Return the nodes at the outputs of the graphs that define a node."""
    node = step.node
    if node.category not in flow.graphs or any(node is outer for outer in step.within):
        return []
    inside = Step(node, step.output, step.slot, step.channels, (*step.within, node))
    kind = node.get("type")
    return [
        found
        for graph in flow.graphs.get(node.category, ())
        if kind == "multioutput" or any(o.get("type") == kind for o in graph.outputs())
        for found in _at_outputs(graph, inside)
    ]


def _at_outputs(graph: Element, step: Step) -> list[Step]:
    """Return the nodes at the output of a graph that a step is for; all if it names none."""
    outputs = graph.outputs()
    named = [o for o in outputs if o.name == step.output] if step.output else []
    return [
        found
        for output in named or outputs
        for found in follow(output, step.slot, step.channels, step.within)[2]
    ]


def follow(
    item: Element, slot: str, channels: str, within: tuple[Element, ...]
) -> tuple[Element | None, Element, list[Step]]:
    """Return what holds the value of an input or output, by what it is read, and what feeds it."""
    spaced = item
    for _ in range(_LONGEST_INTERFACE):
        name = item.get("interfacename")
        if not name:
            break
        graph = item.graph
        outer = graph.child(name) if graph is not None else None
        if outer is None and within:  # the graph defines a node: ask the instance
            outer, within = within[-1].child(name), within[:-1]
            spaced = outer or spaced
        if outer is None:
            return None, spaced, []
        item = outer
    else:
        return None, spaced, []
    if item.has("value"):
        return item, spaced, []
    fed_by, output = item.get("nodename"), item.get("output")
    graph_name = item.get("nodegraph")
    scope = item.parent if item.category == "output" else item.graph
    node = scope.child(graph_name or fed_by) if (graph_name or fed_by) and scope else None
    if node is None:
        return None, spaced, []
    letters = item.get("channels")  # up to MaterialX 1.38
    if letters:
        channels = letters
    step = Step(node, output, slot, channels, within)
    if node.category == NODEGRAPH:
        return None, spaced, _at_outputs(node, step)
    wanted = by_output(node, output, channels)
    return None, spaced, [Step(node, output, slot, wanted, within)]
