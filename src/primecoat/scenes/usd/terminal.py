"""Where the value of an input really stands: at itself, or at the end of its connections."""

from __future__ import annotations

from typing import Any


def terminal(stage: Any, attribute: Any) -> Any:
    """Return the attribute that an input's value comes from.

    An input that is connected to an interface input takes its value there; the connection rules
    over a value of its own.
    """
    seen = set()
    while attribute:
        sources = attribute.GetConnections() if attribute.HasAuthoredConnections() else ()
        if not sources or attribute.GetPath() in seen:
            return attribute
        seen.add(attribute.GetPath())
        further = stage.GetAttributeAtPath(sources[0])
        if not further or further.GetPrim().GetTypeName() not in ("Material", "NodeGraph"):
            return attribute
        attribute = further
    return attribute
