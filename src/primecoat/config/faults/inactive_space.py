"""PC517: a space that is hidden from people but given by a role or a file rule.

The interchange roles are for programs, and views end in spaces that nobody picks: both may be
hidden, and OpenColorIO's built-in configs do hide them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import PyOpenColorIO as ocio

from primecoat.config.faults.common import PATH_SEARCH, about, file_rules
from primecoat.config.subject import Subject
from primecoat.findings import Finding

FOR_PROGRAMS = (str(ocio.ROLE_INTERCHANGE_SCENE), str(ocio.ROLE_INTERCHANGE_DISPLAY))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every hidden space that files or picked colours are given."""
    config = subject.loaded
    given = [(f"the role {r!r}", space) for r, space in config.getRoles() if r not in FOR_PROGRAMS]
    given += [
        (f"the file rule {rule.name!r}", rule.space)
        for rule in file_rules(config)
        if rule.name != PATH_SEARCH
    ]
    users: dict[str, list[str]] = defaultdict(list)
    for user, name in given:
        space = config.getColorSpace(name)
        if space is not None and config.isInactiveColorSpace(space.getName()):
            users[str(space.getName())].append(user)
    for name, by in users.items():
        yield about(
            subject,
            "inactive_space_is_used",
            f"colour space {name}",
            f"inactive_colorspaces hides {name!r}, so nobody can pick it or see it in a list; but "
            f"it is given by {', '.join(by)}.",
            "Nothing, if only files need it; else take it out of inactive_colorspaces.",
        )
