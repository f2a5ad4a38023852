"""A proof as a JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from primecoat.documents import Document
from primecoat.proof.paths.causes import Cause, Causes
from primecoat.proof.paths.certainty import Figure
from primecoat.proof.paths.outcome import Proof
from primecoat.report.versions import versions


def proof_document(found: Proof, written: Sequence[Path] = ()) -> Document:
    """Return a proof as ``primecoat.proof/1``."""
    old, new = found.sights
    return {
        "document": "primecoat.proof/1",
        **versions(),
        "config": new.config,
        "display": new.display,
        "view": new.view,
        "old_view": old.view,
        "match": new.grade and new.grade.name,
        "traced": found.words,
        "notes": list(found.notes),
        "width": found.size[1],
        "height": found.size[0],
        "samples": found.new.samples,
        "seconds": round(found.seconds, 1),
        "kept": found.kept,
        "exposure": found.exposure,
        "noise": found.noise,
        "change": _figure(found.change),
        "from_spectral": {name: _figure(one) for name, one in found.from_spectral.items()},
        "rec709_farther_by": _figure(found.farther),
        "nearer": found.nearer,
        "misread": [
            {
                "path": one.path,
                "firm": one.firm,
                "uses": [
                    {
                        "owner": use.scene_use.use.owner,
                        "slot": use.scene_use.use.slot,
                        "today": use.today,
                        "reading": use.judgement.reading,
                    }
                    for use in one.uses
                ],
            }
            for one in found.misread
        ],
        "undecided": list(found.undecided),
        "unseen": [
            {"path": one.path, "misread": one.misread, "why": one.why} for one in found.unseen
        ],
        "causes": _causes(found.causes),
        "written": [path.as_posix() for path in written],
    }


def _causes(found: Causes | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "width": found.size[1],
        "height": found.size[0],
        "samples": found.samples,
        "noise": found.noise,
        "whole": _figure(found.whole),
        "causes": [_cause(one) for one in found.causes],
    }


def _cause(one: Cause) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "name": one.name,
        "images": list(one.images),
        "firm": one.firm,
        "shown": one.shown,
        "alone": _figure(one.alone),
        "last": _figure(one.last),
        "interaction": one.interaction,
        "floor": one.floor,
    }


def _figure(one: Figure) -> dict[str, float]:
    return {"value": one.value, "within": one.within}
