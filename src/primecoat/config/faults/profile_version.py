"""PC523: a config that only the newest release of OpenColorIO reads."""

from __future__ import annotations

from collections.abc import Iterator

import PyOpenColorIO as ocio

from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for a config file of this library's own version; built-ins say theirs."""
    config = subject.loaded
    stated = (int(config.getMajorVersion()), int(config.getMinorVersion()))
    newest = tuple(map(int, str(ocio.GetVersion()).split(".")[:2]))
    if stated == newest and not subject.builtin:
        yield about(
            subject,
            "config_needs_newest_library",
            "ocio_profile_version",
            f"The config is of version {stated[0]}.{stated[1]}: programs with an OpenColorIO "
            "older than that refuse it.",
            "Nothing, if all your programs are that new; else lower ocio_profile_version.",
        )
