"""Documents about changes: plan, applied, baked, undone, recovered, stored bakes, the journal."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, get_args

from tools.schemas.common import VERSIONS

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.plan.operations import KINDS, Operation
from primecoat.plan.plan import ROUTES

_OF_A_FIELD: dict[str, Any] = {
    "sha256": "sha256",
    "source_sha256": "sha256",
    "target_sha256": "sha256",
    "replaces_sha256": "text",
    "reading": (*SPACES, DATA, UNKNOWN),
    "to_space": tuple(SPACES),
    "edits": ["@edit"],
    "layers": ["@layer"],
}
"""What fields of operations hold that are no plain text."""


def _operation() -> dict[str, Any]:
    """Return what operations hold, as their classes name it; only some have each field."""
    classes = get_args(Operation)
    shared = set.intersection(*({f.name for f in fields(kind)} for kind in classes))
    named = {
        field.name: _OF_A_FIELD.get(field.name, "text") for k in classes for field in fields(k)
    }
    return {"do": tuple(KINDS)} | {
        name if name in shared else f"{name}?": what for name, what in named.items()
    }


_BAKES: dict[str, Any] = {
    "bakes": [{"source": "text", "target": "text", "sha256": "sha256", "figures": "@figures"}],
    "bakes_sha256": "sha256",
    "failed": [{"path": "text", "reason": "text", "remedy": "text"}],
}

DEFINED: dict[str, Any] = {
    "edit": {"place": "text", "before": "text", "after": "text"},
    "layer": {"part": "whole", "layer": "text", "reading": "@reading"},
    "operation": _operation(),
    "done": _operation()
    | {"method": ("reflink", "hard link", "copy", "rename", "write", "not done")},
    "figures": {
        "number": ("half", "float", "uint16", "uint8"),
        "not_finite": "whole",
        "beyond_half": "whole",
        "below": "whole",
        "above": "whole",
        "colours": "whole",
        "changed": "whole",
        "greatest": "whole",
        "seen": "whole",
        "unreachable": "whole",
        "off": "number",
        "worst": "text",
        "residual_mean": "number",
        "residual_p95": "number",
    },
}

DOCUMENTS: dict[str, dict[str, Any]] = {
    "primecoat.plan/1": {
        **VERSIONS,
        "target": "text",
        "root": "text",
        "reach": ["text"],
        "route": ROUTES,
        "in_place": "boolean",
        "from": "@reading",
        "to": "@reading",
        "operations": ["@operation"],
        "held": ["@held"],
        "findings": ["@finding"],
        "house?": "@house|null",
    },
    "primecoat.applied/1": {
        **VERSIONS,
        "dry_run": "boolean",
        "root": "text",
        "operations": ["@done"],
        **_BAKES,
    },
    "primecoat.baked/1": {**VERSIONS, "shard": "text", **_BAKES},
    "primecoat.stored-bake/1": {"sha256": "sha256", "figures": "@figures", "seconds": "number"},
    "primecoat.undone/1": {**VERSIONS, "operations": ["@operation"]},
    "primecoat.recovered/1": {
        **VERSIONS,
        "outcome": ("nothing to do", "finished", "taken back"),
        "operations": "whole",
    },
}

JOURNAL_LINE: dict[str, Any] = {
    "run": "text",
    "state": ("begin", "intent", "done", "end", "undo", "undone", "undo-end"),
    "plan?": "sha256",
    "root?": "text",
    "target?": "text",
    "n?": "whole",
    "operation?": "@operation",
    "after?": "sha256",
    "device?": "whole",
    "inode?": "whole",
    "size?": "whole",
    "modified_ns?": "whole",
    "method?": "text",
    "by?": "text",
    "when?": "text",
}
"""One line of ``journal.jsonl``."""
