"""What several documents hold alike."""

from __future__ import annotations

from typing import Any, get_args

from primecoat.colour.ids import DATA, SCENE_SPACES, SPACES, UNKNOWN
from primecoat.findings import CATALOGUE
from primecoat.reading.evidence import FAMILIES, WITNESSES
from primecoat.reading.judgement import Standing
from primecoat.scenes.model import SLOTS

READING = (*SPACES, DATA, UNKNOWN)
STANDING = get_args(Standing)

VERSIONS: dict[str, Any] = {"primecoat": "text", "libraries": {"*": "text"}}
"""What every document names that a command prints."""

COMMON: dict[str, Any] = {
    "reading": READING,
    "standing": STANDING,
    "slot": (*SLOTS, UNKNOWN),
    "rgb": ["number", "number", "number"],
    "xy": ["number", "number"],
    "matrix": ["@rgb", "@rgb", "@rgb"],
    "finding": {
        "code": tuple(CATALOGUE),
        "name": tuple(entry.name for entry in CATALOGUE.values()),
        "severity": ("error", "warning", "note"),
        "where": "text",
        "message": "text",
        "remedy": "text",
        "location?": "text",
    },
    "held": {"where": "text", "why": "text", "remedy": "text"},
    "house": {
        "file": "text",
        "named": "boolean",
        "applied": {
            "from?": SCENE_SPACES,
            "to?": SCENE_SPACES,
            "config?": "text",
            "roots?": ["text"],
            "tokens?": "whole",
            "slots?": "whole",
            "route?": ("tag", "declare", "bake"),
            "closes_gate?": ["text"],
        },
        "overruled": ["text"],
    },
    "candidate": {"reading": READING, "confidence": "number"},
    "evidence": {
        "witness": WITNESSES,
        "claim": tuple(dict.fromkeys((*READING, *FAMILIES))),
        "strength": "number",
        "words": "text",
        "location": "text",
        "prior": "boolean",
        "set_aside": "text",
    },
    "residual": {"median": "number", "p95": "number", "max": "number"},
}
