"""PC514: a 3D LUT that is used the wrong way round.

A 3D LUT turned round is searched for every pixel: minutes where seconds are due, and only near
enough. OpenColorIO does so without a word.
"""

from __future__ import annotations

from collections.abc import Iterator

import PyOpenColorIO as ocio

from primecoat.config.faults.common import PATH_SEARCH, about, file_rules
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every 3D LUT turned round where it is plainly used."""
    readers = _readers(subject.loaded)
    for build in subject.builds:
        if not build.turns_lut:
            continue
        reader = readers.get(build.name, "") if build.kind == "space" else ""
        if build.written:
            words = f"In {build.label} a 3D LUT stands in the inverse direction"
        elif build.way == "to reference" and reader:
            words = f"{reader} reads files in {build.label}, which only has a 3D LUT out of it"
        else:
            continue
        yield about(
            subject,
            "lut_is_inverted",
            build.label,
            f"{words}: OpenColorIO turns it round, which is slow and only near enough.",
            "Use a LUT made for this direction.",
        )


def _readers(config: ocio.Config) -> dict[str, str]:
    """Return what reads files or picked colours in a space, in words."""
    readers: dict[str, str] = {}
    for role, space in config.getRoles():
        found = config.getColorSpace(space)
        if found is not None:
            readers[str(found.getName())] = f"The role {role!r}"
    for rule in file_rules(config):
        found = config.getColorSpace(rule.space) if rule.name != PATH_SEARCH else None
        if found is not None:
            readers[str(found.getName())] = f"The file rule {rule.name!r}"
    return readers
