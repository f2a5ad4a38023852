"""A picture's row as it stands in responses."""

from __future__ import annotations

from typing import Any

from primecoat.location import printable
from primecoat.workflow.listing import ListedImage


def row_document(row: ListedImage) -> dict[str, Any]:
    """Return one row."""
    decided = row.decided
    return {
        "id": row.id,
        "path": printable(row.path),
        "reading": row.reading,
        "standing": row.standing,
        "confidence": row.confidence,
        "content": row.content,
        "slots": list(row.slots),
        "owners": [printable(owner) for owner in row.owners],
        "findings": list(row.findings),
        "reads_today": list(row.reads_today),
        "differs": row.differs,
        "decided": decided
        and {
            "reading": decided.reading,
            "who": decided.by,
            "when": decided.when,
            "because": decided.because,
        },
        "files": row.files,
    }
