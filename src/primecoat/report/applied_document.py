"""What was carried out or baked, as the content of a document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from primecoat.apply.bakes import BakedShare, bakes_document, bakes_sha256
from primecoat.apply.execute import Done
from primecoat.plan.operations import BakeImage, as_document
from primecoat.plan.plan import Plan


def applied_content(plan: Plan, done: Sequence[Done], *, dry_run: bool) -> dict[str, Any]:
    """Return the content of ``primecoat.applied/1`` for a plan that was carried out."""
    bakes = bakes_document(
        (d.operation, d.baked) for d in done if isinstance(d.operation, BakeImage) and d.baked
    )
    return {
        "dry_run": dry_run,
        "root": str(plan.root),
        "operations": [as_document(d.operation) | {"method": d.method} for d in done],
        "bakes": bakes,
        "bakes_sha256": bakes_sha256(bakes),
        "failed": [],
    }


def failed_content(plan: Plan, share: BakedShare) -> dict[str, Any]:
    """Return the content of ``primecoat.applied/1`` for a plan whose bakes failed."""
    return {"dry_run": False, "root": str(plan.root), "operations": []} | share_content(plan, share)


def share_content(plan: Plan, share: BakedShare) -> dict[str, Any]:
    """Return what a share of a plan's bakes came to: ``bakes``, their hash, and ``failed``."""
    bakes = bakes_document(
        (operation, stored)
        for number, stored in share.done.items()
        if isinstance(operation := plan.operations[number], BakeImage)
    )
    return {
        "bakes": bakes,
        "bakes_sha256": bakes_sha256(bakes),
        "failed": [asdict(failure) for failure in share.failed],
    }
