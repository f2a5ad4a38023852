"""PC525: OpenColorIO refuses the config, for a reason that has no code of its own."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding

_LOADING = "Loading the OCIO profile failed."


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding with OpenColorIO's own words."""
    if not subject.refused:
        return
    reason = " ".join(subject.refused.removeprefix(_LOADING).split())
    more = "" if subject.config is not None else " Nothing else could be checked."
    yield about(
        subject,
        "config_is_refused",
        "",
        f"OpenColorIO refuses the config: {reason}{more}",
        "Correct what it says and check again.",
    )
