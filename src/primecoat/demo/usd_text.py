"""USD as text: prims with metadata, properties and children, written with four-space indents."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

_NO_NAME = re.compile(r"[^0-9A-Za-z_]")


@dataclass(slots=True, kw_only=True)
class Prim:
    """A prim.

    Parameters
    ----------
    kind
        Specifier and type, such as ``def Shader``.
    title
        Name for people; the prim's own name is made of it.
    metadata, properties
        Lines; a property may have several.
    """

    kind: str
    title: str
    metadata: list[str] = field(default_factory=list)
    properties: list[str] = field(default_factory=list)
    children: list[Prim] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The prim's own name."""
        return plain_name(self.title)

    def lines(self, indent: str = "") -> Iterator[str]:
        """Yield the lines of the prim and of all below it."""
        metadata = list(self.metadata)
        if self.title != self.name:
            metadata.append(f'displayName = "{self.title}"')
        yield f'{indent}{self.kind} "{self.name}"' + (" (" if metadata else "")
        if metadata:
            yield from (f"{indent}    {line}" for line in metadata)
            yield f"{indent})"
        yield f"{indent}{{"
        for text in self.properties:
            yield from (f"{indent}    {line}" for line in text.splitlines())
        for child in self.children:
            yield ""
            yield from child.lines(f"{indent}    ")
        yield f"{indent}}}"


def plain_name(title: str) -> str:
    """Return a prim name for a title.

    Examples
    --------
    >>> plain_name("celadon glaze"), plain_name("2 cups")
    ('celadon_glaze', '_2_cups')
    """
    name = _NO_NAME.sub("_", title)
    return f"_{name}" if name[:1].isdigit() else name


def tuple_text(values: Sequence[float], digits: int = 9) -> str:
    """Return numbers as a USD tuple.

    Examples
    --------
    >>> tuple_text((0.5, 1.0, 0.25))
    '(0.5, 1, 0.25)'
    """
    return f"({', '.join(f'{float(v):.{digits}g}' for v in values)})"
