"""PC524: a path with a variable of the environment that the config gives no value of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator

from primecoat.config.confined_files import VARIABLE
from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every variable in a path that has no default."""
    config = subject.loaded
    declared = set(map(str, config.getEnvironmentVarNames()))
    paths = [("search_path", str(path)) for path in config.getSearchPaths()]
    paths += [(use.owner, use.source) for use, _ in subject.files]
    told: set[str] = set()
    for place, path in paths:
        for match in VARIABLE.finditer(path):
            name = next(group for group in match.groups() if group)
            if name in declared or name in told:
                continue
            told.add(name)
            here = "set on this machine" if name in os.environ else "not set on this machine"
            yield about(
                subject,
                "variable_has_no_default",
                place,
                f"The path {path!r} needs the variable {name}, {here}; without it OpenColorIO "
                "finds no file.",
                f"Give {name} a default under 'environment'.",
            )
