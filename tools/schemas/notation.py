"""A short notation for what documents hold, and the JSON schema that it stands for.

========================  =====================================================================
notation                  meaning
========================  =====================================================================
``"text"``, ``"number"``  a value of this type; ``"whole"`` is a whole number from 0,
                          ``"integer"`` any, ``"boolean"``, ``"sha256"``, ``"any"``
``"text|null"``           a value of one of some types
``"@finding"``            what is defined under this name for the schema
``("tag", "bake")``       one of these texts
``[item]``                list of such items; ``[item, item, item]`` a list of just so many
``{"key": ..., "more?"}`` object with such keys; those with ``?`` need not be there
``{"*": value}``          object with any keys and such values
========================  =====================================================================
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_TYPES: dict[str, dict[str, Any]] = {
    "text": {"type": "string"},
    "number": {"type": "number"},
    "whole": {"type": "integer", "minimum": 0},
    "integer": {"type": "integer"},
    "boolean": {"type": "boolean"},
    "null": {"type": "null"},
    "sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
    "any": {},
}


def schema_of(kind: str, content: Mapping[str, Any], defined: Mapping[str, Any]) -> dict[str, Any]:
    """Return the schema of a document.

    Parameters
    ----------
    kind
        Name and version, such as ``primecoat.survey/1``.
    content
        What it holds beside ``document``, in the notation.
    defined
        What ``@name`` stands for; only what is used goes into the schema.

    Examples
    --------
    >>> made = schema_of("primecoat.tea/1", {"cups": "whole", "leaf?": "text"}, {})
    >>> made["required"], made["properties"]["cups"]
    (['document', 'cups'], {'type': 'integer', 'minimum': 0})
    """
    name, _, version = kind.removeprefix("primecoat.").partition("/")
    used: dict[str, Any] = {}
    waiting = list(_references(content))
    while waiting:
        reference = waiting.pop()
        if reference not in used:
            used[reference] = defined[reference]
            waiting += _references(defined[reference])
    return {
        "$schema": DIALECT,
        "$id": f"urn:primecoat:{name}:{version}",
        "title": kind,
        **translated({"document": (kind,), **content}),
        **({"$defs": {key: translated(used[key]) for key in sorted(used)}} if used else {}),
    }


def translated(notation: Any) -> dict[str, Any]:
    """Return the JSON schema of a piece of notation.

    Examples
    --------
    >>> translated(["number|null"])
    {'type': 'array', 'items': {'type': ['number', 'null']}}
    """
    if isinstance(notation, str):
        return _named(notation)
    if isinstance(notation, tuple):
        return {"enum": list(notation)}
    if isinstance(notation, list):
        if len(notation) == 1:
            return {"type": "array", "items": translated(notation[0])}
        count = len(notation)
        items = [translated(item) for item in notation]
        return {"type": "array", "prefixItems": items, "minItems": count, "maxItems": count}
    if set(notation) == {"*"}:
        return {"type": "object", "additionalProperties": translated(notation["*"])}
    return {
        "type": "object",
        "required": [key for key in notation if not key.endswith("?")],
        "properties": {key.removesuffix("?"): translated(part) for key, part in notation.items()},
    }


def _named(text: str) -> dict[str, Any]:
    names = text.split("|")
    if any(name.startswith("@") for name in names):
        parts = [
            {"$ref": f"#/$defs/{name[1:]}"} if name.startswith("@") else _TYPES[name]
            for name in names
        ]
        return parts[0] if len(parts) == 1 else {"anyOf": parts}
    if len(names) == 1:
        return dict(_TYPES[text])
    return {"type": [_TYPES[name]["type"] for name in names]}


def _references(notation: Any) -> Iterator[str]:
    if isinstance(notation, str):
        yield from (name[1:] for name in notation.split("|") if name.startswith("@"))
    elif isinstance(notation, list):
        for item in notation:
            yield from _references(item)
    elif isinstance(notation, dict):
        for part in notation.values():
            yield from _references(part)
