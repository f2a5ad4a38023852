"""Documents held against their published schemas, by a validator that is not ours."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator

FOLDER = Path(__file__).parents[2] / "docs" / "reference" / "schemas"


def check_document(document: dict[str, Any], name: str = "") -> None:
    """Fail if a document does not fit its schema, or holds a field that the schema does not list.

    Parameters
    ----------
    name
        Name of the schema's file without ending; by default from the document itself.
    """
    kind = name or document["document"].removeprefix("primecoat.").replace("/", ".")
    faults = [
        f"{kind}: {'/'.join(map(str, fault.absolute_path))}: {fault.message[:300]}"
        for fault in validator(kind).iter_errors(document)
    ]
    assert not faults, faults[:5]


@cache
def validator(name: str) -> Draft202012Validator:
    """Return the validator that also refuses fields not listed, which the schema itself allows."""
    schema = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(_closed(schema))


def _closed(part: Any) -> Any:
    if isinstance(part, list):
        return [_closed(item) for item in part]
    if not isinstance(part, dict):
        return part
    closed = {key: _closed(value) for key, value in part.items()}
    if isinstance(part.get("properties"), dict) and part.get("type") == "object":
        closed.setdefault("additionalProperties", False)
    return closed
