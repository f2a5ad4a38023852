"""The JSON schema of ``primecoat.toml``, made from the words that its reader knows."""

from __future__ import annotations

from typing import Any

from primecoat.colour.ids import NAMES, READINGS, reading_named
from primecoat.findings import CATALOGUE
from primecoat.house.read import ROUTES, TOKEN, WORKING_SPACES
from primecoat.scenes.model import SLOTS

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def house_schema() -> dict[str, Any]:
    """Return the schema, for editors and tests; the reader itself is stricter about folders.

    Examples
    --------
    >>> sorted(house_schema()["properties"])
    ['config', 'from', 'policy', 'roots', 'slots', 'to', 'tokens']
    """
    spaces = {"enum": _with_other_names(WORKING_SPACES)}
    return {
        "$schema": DIALECT,
        "title": "primecoat.toml",
        "description": "House conventions of primecoat.",
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "from": {"description": "Working space scenes were made in.", **spaces},
            "to": {"description": "Working space they move to.", **spaces},
            "config": {
                "description": "OpenColorIO config: full name of a built-in one, or a file.",
                "type": "string",
            },
            "roots": {
                "description": "Folders that scenes may reach, relative to this file.",
                "type": "array",
                "items": {"type": "string"},
            },
            "tokens": {
                "description": "Words at the end of a name, each with the reading it says.",
                "type": "object",
                "propertyNames": {"pattern": f"^{TOKEN}$"},
                "additionalProperties": {"enum": _with_other_names(READINGS)},
            },
            "slots": {
                "description": "Patterns for names of pictures, each with what they are for.",
                "type": "object",
                "propertyNames": {"pattern": r"^[^/\\]*[^/\\*?][^/\\]*$"},
                "additionalProperties": {"enum": list(SLOTS)},
            },
            "policy": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    "route": {"description": "Route of a plan.", "enum": list(ROUTES)},
                    "closes_gate": {
                        "description": "Codes of findings that keep the gate closed.",
                        "type": "array",
                        "items": {"enum": list(CATALOGUE)},
                    },
                },
            },
        },
    }


def _with_other_names(readings: tuple[str, ...]) -> list[str]:
    return [*readings, *sorted(name for name in NAMES if reading_named(name) in readings
                               and name not in readings)]  # fmt: skip
