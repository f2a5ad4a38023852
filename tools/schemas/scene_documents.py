"""Documents about scenes: survey, why, measured, gate, decisions, truth, proof, desk."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from tools.schemas.common import VERSIONS

from primecoat.findings.explained import Explained

_OUTCOME: dict[str, Any] = {
    "reading": "@reading",
    "standing": "@standing",
    "confidence": "number",
    "is_colour": "number|null",
    "candidates": ["@candidate"],
}
_NUMBERS: dict[str, Any] = {
    "value?": "@rgb",
    "count?": "whole",
    "min?": "@rgb",
    "max?": "@rgb",
}

DEFINED: dict[str, Any] = {
    "use": {
        "scene": "text",
        "owner": "text",
        "slot": "@slot",
        "channels": "text",
        "location": "text",
        "reading": "@reading",
        "standing": "@standing",
        "reads_as": {"today": "@reading", "why": "text"},
    },
    "part": {
        "name": "text",
        "index": "whole",
        "layer?": "text",
        "view?": "text",
        "channels": ["text"],
        "pixel_types": ["text"],
        "main": "boolean",
        **_OUTCOME,
        "evidence": ["@evidence"],
    },
    "header": {
        "format": "text",
        "width": "whole",
        "height": "whole",
        "channels": ["text"],
        "pixel_type": "text",
        "alpha": "text",
        "storage": ["text"],
        "parts": "whole",
        "levels": "whole",
        "texture": "@texture|null",
        "statements": ["@statement"],
    },
    "texture": {"*": "text"},
    "statement": {"kind": "text", "reading": "@reading|null", "firm": "boolean", "words": "text"},
    "image": {
        "path": "text",
        "uses": ["@use"],
        **_OUTCOME,
        "content": "@slot",
        "evidence": ["@evidence"],
        "parts": ["@part"],
        "findings": ["text"],
        "files": ["text"],
        "header": "@header|null",
    },
    "colour": {
        "scene": "text",
        "location": "text",
        "owner": "text",
        "slot": "@slot",
        **_NUMBERS,
        "reading": "@reading",
        "why": "text",
        "working": "@rgb|null",
        "working_max?": "@rgb",
        "kelvin?": "number|null",
    },
    "product": {
        "scene": "text",
        "owner": "text",
        "slot": "@slot",
        "image": "text",
        "operation": "text",
        "why": "text",
        "factor": "@rgb|null",
        "location": "text",
        "residual": "@left_over|null",
        "unknown": "text",
    },
    "left_over": {"median": "number", "p95": "number", "max": "number", "over": "text"},
    "decision": {
        "image": "text",
        "reading": "@reading",
        "because": "text",
        "by": "text",
        "when": "text",
    },
    "side": {"*": "@word|null"},
    "word": {"reading": "@reading", "because": "text", "by": "text", "when": "text"},
    "figure": {"value": "number|null", "within": "number|null"},
    "cause": {
        "kind": "text",
        "name": "text",
        "images": ["text"],
        "firm": "boolean",
        "shown": "boolean",
        "alone": "@figure",
        "last": "@figure",
        "interaction": "number",
        "floor": "number",
    },
    "causes": {
        "width": "whole",
        "height": "whole",
        "samples": "whole",
        "noise": "number",
        "whole": "@figure",
        "causes": ["@cause"],
    },
}

_SURVEY: dict[str, Any] = {
    **VERSIONS,
    "target": "text",
    "root": "text",
    "from": "@reading",
    "to": "@reading",
    "config": "text",
    "house": "@house|null",
    "images": ["@image"],
    "colours": ["@colour"],
    "lights": ["@colour"],
    "products": ["@product"],
    "findings": ["@finding"],
}
DEFINED["survey"] = {"document": ("primecoat.survey/1",), **_SURVEY}

_PROOF: dict[str, Any] = {
    **VERSIONS,
    "config": "text",
    "display": "text",
    "view": "text",
    "old_view": "text",
    "match": "text|null",
    "traced": "text",
    "notes": ["text"],
    "width": "whole",
    "height": "whole",
    "samples": "whole",
    "seconds": "number",
    "kept": "boolean",
    "exposure": "number",
    "noise": "number",
    "change": "@figure",
    "from_spectral": {"rec709": "@figure", "ap1": "@figure"},
    "rec709_farther_by": "@figure",
    "nearer": ("rec709", "ap1", "no difference here"),
    "misread": [
        {
            "path": "text",
            "firm": "boolean",
            "uses": [
                {"owner": "text", "slot": "@slot", "today": "@reading", "reading": "@reading"}
            ],
        }
    ],
    "undecided": ["text"],
    "unseen": [{"path": "text", "misread": "boolean", "why": "text"}],
    "causes": "@causes|null",
    "written": ["text"],
}
DEFINED["proof"] = {"document": ("primecoat.proof/1",), **_PROOF}

DOCUMENTS: dict[str, dict[str, Any]] = {
    "primecoat.survey/1": _SURVEY,
    "primecoat.report/1": {
        **VERSIONS,
        "ready": "boolean",
        "survey": "@survey",
        "decisions": ["@decision"],
        "runs": [
            {
                "target": "text",
                "by": "text",
                "when": "text",
                "state": ("stands", "taken back", "cut short"),
                "operations": ["text"],
            }
        ],
        "settings": [{"*": "text"}],
        "codes": {"*": {field.name: "any" for field in fields(Explained)}},
        "attached": [{"*": "any"}],
        "proof": "@proof|null",
    },
    "primecoat.why/1": {
        **VERSIONS,
        "image": "@image",
        "would_change": ["text"],
        "findings": ["@finding"],
    },
    "primecoat.measured/1": {
        **VERSIONS,
        "shard": "text",
        "images": [{"path": "text", "sha256": "text", "problem": "text"}],
    },
    "primecoat.gate/1": {
        **VERSIONS,
        "open": "boolean",
        "explicit": "whole",
        "left": ["@held"],
        "findings": ["@finding"],
        "closed_by": ["text"],
        "house": "@house|null",
    },
    "primecoat.decisions/1": {
        "decisions": ["@decision"],
        "steps?": [{"before": "@side", "after": "@side"}],
    },
    "primecoat.truth/1": {
        "clean": "boolean",
        "images": [
            {
                "path": "text",
                "reading": "@reading",
                "content": "@slot",
                "uses": [
                    {
                        "scene": "text",
                        "owner": "text",
                        "slot": "@slot",
                        "channels": "text",
                        "reading": "@reading",
                    }
                ],
            }
        ],
        "colours": [
            {
                "scene": "text",
                "location": "text",
                "slot": "@slot",
                **_NUMBERS,
                "reading": "@reading",
            }
        ],
        "findings": [{"code": "text", "where": "text"}],
        "faults": [{"name": "text", "where": "text", "words": "text"}],
    },
    "primecoat.proof/1": _PROOF,
    "primecoat.desk/1": {**VERSIONS, "target": "text", "address": "text"},
}
