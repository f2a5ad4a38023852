"""Which findings on a scene a plan mends, once it is applied."""

from __future__ import annotations

from collections.abc import Iterable

from primecoat.findings import Finding
from primecoat.plan.operations import WriteScene
from primecoat.plan.plan import Plan

_MENDED_BY_DECLARING = ("read_otherwise_today", "declarations_contradict")
"""Faults that are gone where the scene says anew how a picture is read."""


def not_mended(plan: Plan, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the errors that stay when a plan is applied: its own too.

    Parameters
    ----------
    findings
        What the survey found.
    """
    declared = {
        (operation.source, edit.place.removesuffix("/colorSpace"))
        for operation in plan.operations
        if isinstance(operation, WriteScene)
        for edit in operation.edits
    }
    scenes = {source for source, _ in declared}

    def is_mended(found: Finding) -> bool:
        if found.name not in _MENDED_BY_DECLARING or found.location is None:
            return False
        place = found.location.place.removesuffix("/colorSpace")
        return any((scene, place) in declared for scene in scenes if _named(scene, found))

    every = (*plan.findings, *findings)
    return tuple(f for f in every if f.severity == "error" and not is_mended(f))


def _named(scene: str, found: Finding) -> bool:
    """Whether a finding stands in a scene; paths in a plan begin at its root, which may differ."""
    file = found.location.file if found.location else ""
    return scene == file or scene.endswith(f"/{file}") or file.endswith(f"/{scene}")
