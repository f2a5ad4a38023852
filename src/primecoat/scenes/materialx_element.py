"""The elements of a MaterialX document, taken over from the library once.

Asking the library for an attribute, a parent or a path costs far more than the answer, and the way
from shaders to pictures asks for the same ones again and again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

NODEDEF = "nodedef"
NODEGRAPH = "nodegraph"


@dataclass(slots=True, eq=False)
class Element:
    """One element of the merged document.

    Parameters
    ----------
    name, category
        Its name, and the name of its tag.
    path
        Names from below the root down to it, parted by ``/``; empty for the root.
    source
        Name of the included file it stands in; empty for the scene file.
    parent
        The element around it; None for the root.
    attributes
        Its attributes but for the name.
    children
        The elements in it by name, in the order of the document.
    """

    name: str
    category: str
    path: str
    source: str
    parent: Element | None
    attributes: dict[str, str]
    children_by_name: dict[str, Element] = field(default_factory=dict)

    @property
    def children(self) -> tuple[Element, ...]:
        """The elements in it, in the order of the document."""
        return tuple(self.children_by_name.values())

    def get(self, name: str) -> str:
        """Return an attribute; empty if it has none of that name."""
        return self.attributes.get(name, "")

    def has(self, name: str) -> bool:
        """Whether it has an attribute, be it empty."""
        return name in self.attributes

    def child(self, name: str) -> Element | None:
        """Return the element in it that has a name; None if there is none."""
        return self.children_by_name.get(name)

    @property
    def home(self) -> Element:
        """The element around it; the root itself for the root."""
        return self if self.parent is None else self.parent

    @property
    def graph(self) -> Element | None:
        """What is around the node that an input stands in: a node graph, or the document."""
        return self.parent.parent if self.parent is not None else None

    def active(self, name: str) -> str:
        """Return an attribute of the element or of the nearest one around it that has it."""
        at: Element | None = self
        while at is not None:
            if name in at.attributes:
                return at.attributes[name]
            at = at.parent
        return ""

    def of_category(self, category: str) -> list[Element]:
        """Return the elements in it whose tag has a name."""
        return [c for c in self.children_by_name.values() if c.category == category]

    def outputs(self) -> list[Element]:
        """Return its outputs."""
        return self.of_category("output")

    def below(self) -> Iterator[Element]:
        """Yield the element and all that stand in it, in the order of the document."""
        waiting = [self]
        while waiting:
            element = waiting.pop()
            yield element
            waiting += reversed(element.children_by_name.values())


def mirror(document: Any, *, several_files: bool) -> Element:
    """Return the elements of the library's document.

    Parameters
    ----------
    several_files
        Whether others are merged into it, so that elements stand in different files.
    """
    root = Element("", document.getCategory(), "", "", None, _attributes(document))
    waiting = [(root, document)]
    while waiting:
        above, outer = waiting.pop()
        front = f"{above.path}/" if above.path else ""
        for handle in outer.getChildren():
            name = handle.getName()
            element = Element(
                name,
                handle.getCategory(),
                front + name,
                handle.getActiveSourceUri() if several_files else "",
                above,
                _attributes(handle),
            )
            above.children_by_name[name] = element
            waiting.append((element, handle))
    return root


def _attributes(handle: Any) -> dict[str, str]:
    return {name: handle.getAttribute(name) for name in handle.getAttributeNames()}
