"""PC505: a space for data that is not marked as such."""

from __future__ import annotations

from collections.abc import Iterator

import PyOpenColorIO as ocio

from primecoat.colour.ids import DATA, reading_named
from primecoat.config.faults.common import about, spaces
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every space that is called data and would be converted."""
    config = subject.loaded
    role = config.getColorSpace(ocio.ROLE_DATA) if config.hasRole(ocio.ROLE_DATA) else None
    for space in spaces(config):
        if space.isData():
            continue
        why = _called_data(space)
        if not why and role is not None and role.getName() == space.getName():
            why = "has the role data"
        if why:
            yield about(
                subject,
                "data_is_not_marked",
                f"colour space {space.getName()}",
                f"The space {space.getName()!r} {why}, but is not marked with 'isdata: true': "
                "normals and roughness read in it are converted like colours.",
                "Write 'isdata: true' in it.",
            )


def _called_data(space: ocio.ColorSpace) -> str:
    if str(space.getInteropID()) == DATA:
        return "has the interop ID data"
    if str(space.getEncoding()) == DATA:
        return "has the encoding data"
    for name in (str(space.getName()), *map(str, space.getAliases())):
        plain = name.strip().lower().replace(" ", "_").replace("-", "_")
        if reading_named(name) == DATA and plain != "identity":
            return f"is called {name}"
    return ""
