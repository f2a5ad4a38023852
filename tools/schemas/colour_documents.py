"""Documents about colours, configs, the test card and benchmarks."""

from __future__ import annotations

from typing import Any

from tools.schemas.common import VERSIONS

from primecoat.colour.ids import SPACES
from primecoat.config.agreement import VERDICTS

_CODES: dict[str, Any] = {"hex": "text", "codes": ["whole", "whole", "whole"]}
_PATH: dict[str, Any] = {
    "path": "text",
    "reads_as": {
        "space": "text",
        "local_name": "text",
        "reading": "text|null",
        "interop_id": "text|null",
        "by": "text",
        "contradicts": "boolean",
        "verdict": VERDICTS,
    },
    "rule": {
        "index": "integer",
        "name": "text",
        "pattern": "text",
        "only_default": "boolean",
        "word": "text",
        "in_folder": "boolean",
        "why": "text",
    },
}

DEFINED: dict[str, Any] = {
    "codes_of_space": _CODES,
    "temperature": {"kelvin": "number|null", "duv": "number", "method": "text"},
    "seen_colour": {"display": "text", "view": "text", "value": "@rgb", **_CODES, "xyz": "@rgb"},
    "sought": {
        "wanted": {"value": "@rgb", **_CODES},
        "reachable": "boolean",
        "scene": "@rgb",
        "luminance": "number",
        "shown": "@seen_colour",
        "ciede2000": "number",
        "uses": {"emissive": "boolean", "unlit": "boolean", "reflectance": "boolean"},
        "why": "text",
    },
    "window": {"linear": "text", "display": "text", "view": "text"},
    "mean_and_p95": {"mean": "number", "p95": "number"},
    "path": _PATH,
    "cost": {
        "nothing_changes": "boolean",
        "linear?": "text",
        "code_128?": "number|null",
        "most_off?": "number|null",
        "flat_turned?": "number|null",
        "most_turned?": "number|null",
        "mid_grey?": {"right": "@rgb", "read": "@rgb"},
        "stops?": "number|null",
        "ciede2000?": "@mean_and_p95|null",
        "sampled": "integer",
    },
    "named_views": [{"display": "text", "view": "text"}],
    "input_answer": {
        "reading": "text",
        "confidence": "number",
        "working_spaces": ["text"],
        "same_as": ["text"],
    },
}

DOCUMENTS: dict[str, dict[str, Any]] = {
    "primecoat.swatch/1": {
        **VERSIONS,
        "config": "text",
        "to": "text",
        "colour": {"value": "@rgb", "space": tuple(SPACES), "referred": ("scene", "display")},
        "spaces": {"*": "@rgb"},
        "codes": {"*": "@codes_of_space"},
        "display_spaces_by": "text",
        "xyz": "@rgb",
        "xy": "@xy|null",
        "temperature": "@temperature|null",
        "albedo": {"judgement": "text", "luminance": "number", "limits": "@xy"},
        "gamuts": {"*": {"inside": "boolean", "ciede2000": "number", "nearest": "@rgb"}},
        "copy": {"*": "text"},
        "through": "@seen_colour|null",
        "against": "@sought|null",
    },
    "primecoat.gains/1": {
        **VERSIONS,
        "config": "text",
        "from": "text",
        "to": "text",
        "gains": "@rgb",
        "matrix": "@matrix",
        "best": {"gains": "@rgb", "residual": "@residual"},
        "as_colour": {"gains": "@rgb", "residual": "@residual"},
        "over": "text",
    },
    "primecoat.config_write/1": {
        **VERSIONS,
        "config": "text",
        "sha256": "sha256",
        "replaced": "boolean",
        "base": "text",
        "version": "text",
        "to": "text",
        "from": "text|null",
        "old_view": "text|null",
        "look": "text|null",
        "beside": ["text"],
        "spaces": {"*": "text"},
        "added": ["text"],
        "file_rules": [{"name": "text", "regex": "text", "reading": "@reading"}],
        "default": "text",
        "roles": {"*": "text"},
        "processors": "whole",
    },
    "primecoat.config_check/1": {
        **VERSIONS,
        "config": "text",
        "version": "text",
        "sound": "boolean",
        "checked": {"*": "whole"},
        "findings": ["@finding"],
    },
    "primecoat.config_read/1": {
        **VERSIONS,
        "config": "text",
        "ready": "boolean",
        "seen": "@window|null",
        "counts": dict.fromkeys(VERDICTS, "whole"),
        "files": [
            {
                "file": "text",
                "image": "text",
                "reading": "@reading",
                "standing": "@standing",
                "wanted": [{"reading": "@reading", "who": "text"}],
                "conflicts": "boolean",
                "verdict": VERDICTS,
                "kind": "text|null",
                **_PATH,
                "elsewise": ["@path"],
                "cost": "@cost|null",
                "words": ["text"],
            }
        ],
        "silent": [{"image": "text", "why": "text"}],
    },
    "primecoat.card_record/1": {
        "layout": "whole",
        "config": "text",
        "frame": {"inner": "@xy", "outer": "@xy", "marks": ["@xy"]},
        "camera": {"distance": "number", "vertical_angle": "number"},
        "lights": {"*": "@rgb"},
        "strengths": {"*": "number"},
        "inputs": [
            {
                "key": "text",
                "words": "text",
                "slot": "@slot",
                "path": "text|null",
                "made_as": "text",
            }
        ],
        "patches": [
            {
                "name": "text",
                "input": "text",
                "light": ("main", "own", "lamp", "warm", "sky"),
                "fields": [{"x": "number", "y": "number", "values": {"*": "@rgb"}}],
            }
        ],
        "cannot": {"*": ["text"]},
    },
    "primecoat.card/1": {
        **VERSIONS,
        "config": "text",
        "layout": "whole",
        "ready": "boolean",
        "render": {
            "path": "text",
            "width": "whole",
            "height": "whole",
            "corners": ["@xy"],
            "mirrored": "boolean",
        },
        "view": {
            "baked": "boolean|null",
            "names": "@named_views",
            "config": "text|null",
            "standing": "@standing",
            "confidence": "number",
            "candidates": [{"names": "@named_views", "confidence": "number"}],
        },
        "working_space": {
            "reading": "text",
            "standing": "@standing",
            "candidates": [{"reading": "text", "confidence": "number"}],
        },
        "exposure_stops": "number|null",
        "wedge_misfit": "number|null",
        "inputs": [
            {
                "key": "text",
                "words": "text",
                "path": "text|null",
                "made_as": "text",
                "reading": "text",
                "same_as": ["text"],
                "standing": "@standing",
                "confidence": "number",
                "as_made": "boolean|null",
                "candidates": ["@input_answer"],
                "misfit": "number|null",
                "seen": [["number"]],
                "remedy": "text",
            }
        ],
        "advice": ["text"],
    },
    "primecoat.benchmark/1": {"name": "text", "figures": {"*": "any"}},
}
