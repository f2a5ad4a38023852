"""What flows where in a MaterialX document: from shader inputs upstream to images and values.

Source: *MaterialX Specification 1.39*, sections *Nodes*, *Node Graph Elements* and *Inputs*. A
connection is followed through node graphs, their interfaces, and through nodes that the document
defines itself; on the way it is kept which channels are wanted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from primecoat.scenes.materialx_channels import OutOfFlow, by_output, inputs_of, through, width
from primecoat.scenes.shading import LIGHT_SHADERS, SHADERS, slot_of

_LONGEST_INTERFACE = 64
"""Interfaces that one value is looked for through; longer chains are taken for circles."""


@dataclass(frozen=True, slots=True)
class Reached:
    """An input that has a value, in its own right or by an interface, and what it ends up as.

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

    node: Any
    item: Any
    output: str
    holder: Any
    spaced: Any
    owner: str
    slot: str
    channels: str


@dataclass(frozen=True, slots=True)
class _Step:
    """A node to go through, for one slot and some channels, inside some instances."""

    node: Any
    output: str
    slot: str
    channels: str
    within: tuple[Any, ...] = ()

    def key(self) -> tuple[str, ...]:
        paths = (element.getNamePath() for element in (self.node, *self.within))
        return self.output, self.slot, self.channels, *paths


def reached(document: Any) -> Iterator[Reached]:
    """Yield every input with a value that flows into a shader or light, once for each slot."""
    graphs = _graphs_by_category(document)
    for start, owner in _shaders(document, graphs):
        shader = start.node
        for item in inputs_of(shader):
            slot = slot_of(shader.getCategory(), item.getName(), item.getAttribute("type"))
            channels = "rgba"[: width(item.getAttribute("type"))]
            holder, spaced, steps = _follow(item, slot, channels, start.within)
            if holder is not None:
                yield Reached(shader, item, "", holder, spaced, owner, slot, channels)
            yield from _upstream(steps, owner, graphs)


def _upstream(steps: list[_Step], owner: str, graphs: dict[str, list[Any]]) -> Iterator[Reached]:
    """Yield the inputs with values on the way up from some nodes."""
    seen: set[tuple[str, ...]] = set()
    while steps:
        step = steps.pop()
        if step.key() in seen:
            continue
        seen.add(step.key())
        inside = _graphs_of(step, graphs)
        if inside:
            steps += inside
            continue
        for item in inputs_of(step.node):
            try:
                slot, channels = through(step.node, item, step.slot, step.channels)
            except OutOfFlow:
                continue
            holder, spaced, more = _follow(item, slot, channels, step.within)
            if holder is not None:
                yield Reached(step.node, item, step.output, holder, spaced, owner, slot, channels)
            steps += more


def _shaders(document: Any, graphs: dict[str, list[Any]]) -> Iterator[tuple[_Step, str]]:
    """Yield every shader with its owner: the materials that use it, or itself."""
    owners: dict[tuple[str, ...], tuple[_Step, list[str]]] = {}
    for material in document.getMaterialNodes():
        steps = [s for i in inputs_of(material) for s in _follow(i, "", "", ())[2]]
        seen: set[tuple[str, ...]] = set()
        while steps:
            step = steps.pop()
            if step.key() in seen:
                continue
            seen.add(step.key())
            if step.node.getCategory() in SHADERS:
                names = owners.setdefault(step.key(), (step, []))[1]
                names.append(material.getName())
                continue
            steps += _graphs_of(step, graphs) or [
                s for i in inputs_of(step.node) for s in _follow(i, "", "", step.within)[2]
            ]
    yield from ((step, ", ".join(names)) for step, names in owners.values())
    met = {step.node.getNamePath() for step, _ in owners.values()}
    for element in document.traverseTree():
        if element.getCategory() in SHADERS and element.getNamePath() not in met:
            yield _Step(element, "", "", ""), element.getName()


def is_light(node: Any) -> bool:
    """Whether a node is a light shader."""
    return node.getCategory() in LIGHT_SHADERS


def _graphs_by_category(document: Any) -> dict[str, list[Any]]:
    """Return the node graphs that define nodes of the document's own, by the nodes' category."""
    categories = {d.getName(): d.getNodeString() for d in document.getNodeDefs()}
    found: dict[str, list[Any]] = {}
    for graph in document.getNodeGraphs():
        category = categories.get(graph.getAttribute("nodedef"))
        if category:
            found.setdefault(category, []).append(graph)
    return found


def _graphs_of(step: _Step, graphs: dict[str, list[Any]]) -> list[_Step]:
    """Return the nodes at the outputs of the graphs that define a node."""
    node = step.node
    if any(node.getNamePath() == outer.getNamePath() for outer in step.within):
        return []
    inside = _Step(node, step.output, step.slot, step.channels, (*step.within, node))
    kind = node.getAttribute("type")
    return [
        found
        for graph in graphs.get(node.getCategory(), ())
        if kind == "multioutput" or any(o.getAttribute("type") == kind for o in graph.getOutputs())
        for found in _at_outputs(graph, inside)
    ]


def _at_outputs(graph: Any, step: _Step) -> list[_Step]:
    """Return the nodes at the output of a graph that a step is for; all if it names none."""
    outputs = graph.getOutputs()
    named = [o for o in outputs if o.getName() == step.output] if step.output else []
    return [
        found
        for output in named or outputs
        for found in _follow(output, step.slot, step.channels, step.within)[2]
    ]


def _follow(
    item: Any, slot: str, channels: str, within: tuple[Any, ...]
) -> tuple[Any | None, Any, list[_Step]]:
    """Return what holds the value of an input or output, by what it is read, and what feeds it."""
    spaced = item
    for _ in range(_LONGEST_INTERFACE):
        name = item.getAttribute("interfacename")
        if not name:
            break
        graph = item.getParent().getParent()
        outer = None if graph is None else graph.getChild(name)
        if outer is None and within:  # the graph defines a node: ask the instance
            outer, within = within[-1].getChild(name), within[:-1]
            spaced = outer
        if outer is None:
            return None, spaced, []
        item = outer
    else:
        return None, spaced, []
    if item.hasAttribute("value"):
        return item, spaced, []
    fed_by, output = item.getAttribute("nodename"), item.getAttribute("output")
    graph_name = item.getAttribute("nodegraph")
    parent = item.getParent()
    scope = parent if item.getCategory() == "output" else parent.getParent()
    node = scope.getChild(graph_name or fed_by) if (graph_name or fed_by) and scope else None
    if node is None:
        return None, spaced, []
    letters = item.getAttribute("channels")  # up to MaterialX 1.38
    if letters:
        channels = letters
    step = _Step(node, output, slot, channels, within)
    if node.getCategory() == "nodegraph":
        return None, spaced, _at_outputs(node, step)
    wanted = by_output(node, output, channels)
    return None, spaced, [_Step(node, output, slot, wanted, within)]
