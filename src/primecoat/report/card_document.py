"""A render of the test card, read, as a JSON document."""

from __future__ import annotations

from typing import Any

from primecoat.documents import Document
from primecoat.proof.card.layout import VERSION
from primecoat.proof.card.model import Answer, CardReading, InputReading
from primecoat.proof.card.remedies import advice, remedy
from primecoat.report.versions import versions


def card_document(found: CardReading) -> Document:
    """Return what a render of the card tells as ``primecoat.card/1``."""
    view = found.view
    working = found.working[0].reading if found.working_standing != "unknown" else None
    firm = found.working_standing in ("settled", "likely")
    return {
        "document": "primecoat.card/1",
        **versions(),
        "config": found.config,
        "layout": VERSION,
        "ready": found.ready,
        "render": {
            "path": found.path.as_posix(),
            "width": found.width,
            "height": found.height,
            "corners": [list(corner) for corner in found.corners],
            "mirrored": found.mirrored,
        },
        "view": {
            "baked": view.baked if view else None,
            "names": [{"display": d, "view": v} for d, v in view.names]
            if view and view.baked
            else [],
            "config": view.config or None if view else None,
            "standing": found.view_standing,
            "confidence": found.view_confidence,
            "candidates": [
                {
                    "names": [{"display": d, "view": v} for d, v in choice.names],
                    "confidence": share,
                }
                for choice, share in found.views
            ],
        },
        "working_space": {
            "reading": working if firm else "unknown",
            "standing": found.working_standing,
            "candidates": [
                {"reading": one.reading, "confidence": one.confidence} for one in found.working
            ],
        },
        "exposure_stops": found.stops,
        "wedge_misfit": found.misfit if view else None,
        "inputs": [_input(one, working if firm else None) for one in found.inputs],
        "advice": list(advice(found)),
    }


def _input(found: InputReading, working: str | None) -> dict[str, Any]:
    return {
        "key": found.key,
        "words": found.words,
        "path": found.path or None,
        "made_as": found.made_as,
        "reading": found.reading,
        "same_as": list(found.answers[0].same) if found.reading != "unknown" else [],
        "standing": found.standing,
        "confidence": found.confidence,
        "as_made": found.as_made,
        "candidates": [_answer(answer) for answer in found.answers],
        "misfit": found.misfit if found.misfit < 1e6 else None,
        "seen": [list(field) for field in found.seen],
        "remedy": remedy(found, working),
    }


def _answer(answer: Answer) -> dict[str, Any]:
    return {
        "reading": answer.reading,
        "confidence": answer.confidence,
        "working_spaces": list(answer.working),
        "same_as": list(answer.same),
    }
