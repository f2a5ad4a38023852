"""PC518: a transform that cannot be built, for a reason that has no code of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePath

from primecoat.config.faults.broken_view import absent_parts, looks_of
from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each thing that OpenColorIO cannot build."""
    told: set[tuple[str, str]] = set()
    told_of = [PurePath(u.source).name for u, found in subject.files if found.state != "there"]
    absent_looks = {
        str(look.getName())
        for look in subject.loaded.getLooks()
        if subject.loaded.getColorSpace(look.getProcessSpace()) is None
    }
    reasons: set[str] = set()
    for build in subject.builds:
        if not build.trouble or (build.kind, build.name) in told:
            continue
        told.add((build.kind, build.name))
        if any(name in build.trouble for name in told_of):
            continue
        if build.kind == "look" and build.name in absent_looks:
            continue
        if build.kind == "view":
            display, _, view = build.name.partition(" / ")
            looks = set(looks_of(subject.loaded, display, view))
            if absent_parts(subject.loaded, display, view) or looks & absent_looks:
                continue
            if build.trouble in reasons:
                continue  # a fault of a space that the view ends in
        reasons.add(build.trouble)
        yield about(
            subject,
            "transform_cannot_be_built",
            build.label,
            f"OpenColorIO cannot build {build.label}: {build.trouble}",
            "Correct what it says; a file must be whole and of the kind its name tells.",
        )
