"""Parts of a MaterialX document while it is written: elements, and the nodes of one material."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import quoteattr

from primecoat.demo.gltf_uses import ColourUse, PictureUse

FOLDER = "textures/"
"""What the root's ``fileprefix`` puts before every file name."""

SRGB = "srgb_texture"


@dataclass(slots=True)
class Element:
    """One XML element; attributes are written in their order."""

    category: str
    attributes: dict[str, str]
    children: list[Element] = field(default_factory=list)

    def lines(self, indent: str = "") -> Iterator[str]:
        """Yield the element's text, a line for each tag."""
        head = "".join(f" {name}={quoteattr(value)}" for name, value in self.attributes.items())
        if not self.children:
            yield f"{indent}<{self.category}{head} />"
            return
        yield f"{indent}<{self.category}{head}>"
        for child in self.children:
            yield from child.lines(f"{indent}  ")
        yield f"{indent}</{self.category}>"


@dataclass(frozen=True, slots=True)
class Socket:
    """Something to plug in: a type with a value, or with a node's output."""

    kind: str
    value: str = ""
    node: str = ""
    graph: str = ""
    output: str = ""

    def element(self, name: str, **more: str) -> Element:
        """Return the input of this name that takes it."""
        said = {
            "nodename": self.node,
            "nodegraph": self.graph,
            "output": self.output,
            "value": self.value,
        }
        plain = {key: text for key, text in said.items() if text}
        return Element("input", {"name": name, "type": self.kind, **plain, **more})


def number(value: float) -> Socket:
    """Return a float to plug in."""
    return Socket("float", value=f"{value:g}")


def colour(value: Sequence[float]) -> Socket:
    """Return three numbers of a colour to plug in."""
    return Socket("color3", value=", ".join(f"{v:g}" for v in value[:3]))


def plain_name(words: str) -> str:
    """Return words as the name of an element.

    Examples
    --------
    >>> plain_name("celadon glaze")
    'celadon_glaze'
    """
    return re.sub(r"\W", "_", words)


class Maps:
    """The node graph of one material; notes every use of a picture and every colour in it.

    Parameters
    ----------
    owner
        Name of the material.
    space
        Colour space of the whole graph, which its pictures then inherit; empty for none.
    """

    def __init__(self, owner: str, space: str = "") -> None:
        self.owner = owner
        said = {"colorspace": space} if space else {}
        self.graph = Element("nodegraph", {"name": f"{owner}_maps", **said})
        self.uses: list[PictureUse] = []
        self.colours: list[ColourUse] = []
        self._space = space
        self._outputs: list[Element] = []

    def elements(self) -> list[Element]:
        """Return the graph, if it holds anything."""
        self.graph.children += self._outputs
        self._outputs = []
        return [self.graph] if self.graph.children else []

    def node(self, category: str, kind: str, name: str, **inputs: Socket) -> Socket:
        """Add a node and return its output."""
        children = [socket.element(item) for item, socket in inputs.items()]
        self.graph.children.append(Element(category, {"name": name, "type": kind}, children))
        return Socket(kind, node=name)

    def image(self, path: str, kind: str, name: str, tiling: Sequence[float] = ()) -> Socket:
        """Add an image once and return its output; colour says that it is sRGB-encoded."""
        if not any(child.attributes["name"] == name for child in self.graph.children):
            file = Socket("filename", value=path.removeprefix(FOLDER))
            own = kind.startswith("color") and not self._space
            inputs = [file.element("file", **({"colorspace": SRGB} if own else {}))]
            if tiling:
                repeats = Socket("vector2", value=", ".join(f"{v:g}" for v in tiling))
                inputs.append(repeats.element("uvtiling"))
            category = "tiledimage" if tiling else "image"
            element = Element(category, {"name": name, "type": kind}, inputs)
            self.graph.children.append(element)
        return Socket(kind, node=name)

    def interface(self, path: str, name: str) -> Socket:
        """Add a colour image whose file is an input of the graph, and return its output."""
        file = Socket("filename", value=path.removeprefix(FOLDER))
        self.graph.children.insert(0, file.element(name, colorspace=SRGB))
        inner = {"name": "file", "type": "filename", "interfacename": name, "colorspace": SRGB}
        image = Element("image", {"name": f"{name}_image", "type": "color3"})
        image.children.append(Element("input", inner))
        self.graph.children.append(image)
        return Socket("color3", node=f"{name}_image")

    def channel(self, image: Socket, channels: str, name: str) -> Socket:
        """Return one channel of an image that has several."""
        if image.kind == "float":
            return image
        index = Socket("integer", value=str("rgba".index(channels)))
        return self.node("extract", "float", name, **{"in": image, "index": index})

    def tinted(self, image: Socket, factor: Sequence[float], slot: str) -> Socket:
        """Return an image times a colour, and note that colour."""
        name = f"{slot}_tint"
        self.note_colour(f"/{self.graph.attributes['name']}/{name}/in2", slot, factor)
        return self.node("multiply", "color3", name, in1=image, in2=colour(factor))

    def out(self, socket: Socket, name: str) -> Socket:
        """Lead something out of the graph."""
        attributes = {"name": f"{name}_out", "type": socket.kind, "nodename": socket.node}
        if not any(o.attributes["name"] == attributes["name"] for o in self._outputs):
            self._outputs.append(Element("output", attributes))
        graph = self.graph.attributes["name"]
        return Socket(socket.kind, graph=graph, output=attributes["name"])

    def note_use(self, path: str, slot: str, channels: str) -> None:
        """Note a use of a picture."""
        use = PictureUse(path=path, owner=self.owner, slot=slot, channels=channels)
        if use not in self.uses:
            self.uses.append(use)

    def note_colour(self, place: str, slot: str, value: Sequence[float]) -> None:
        """Note a colour that stands in the document."""
        low = tuple(float(v) for v in value[:3])
        self.colours.append(ColourUse(location=place, slot=slot, low=low, high=low))
