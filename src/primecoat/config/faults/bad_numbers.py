"""PC519, PC520: transforms whose numbers make no sense."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from primecoat.config.builds import Build
from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding

STEP_BACK: Final = 1e-6
"""Greatest step back, as a share of the greatest number, that single precision explains."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for results that are no numbers, and for light that falls as codes rise."""
    told: set[str] = set()
    for build in subject.builds:
        if not len(build.made) or build.label in told:
            continue
        bad = ~np.isfinite(build.made).all(axis=1)
        if bad.any():
            told.add(build.label)
            at = float(build.given[int(np.argmax(bad))])
            yield about(
                subject,
                "result_is_no_number",
                build.label,
                f"A neutral {at:.4g} through {build.label} ({build.way}) gives no number.",
                "Look for a division by 0 or a damaged LUT in it.",
            )
            continue
        if build.way in ("to reference", "forward"):
            yield from _turning_back(subject, build)


def _turning_back(subject: Subject, build: Build) -> Iterator[Finding]:
    made = build.made.astype(np.float64)
    if len(build.light):
        made = build.light[:, 1:2].astype(np.float64)
    elif build.kind in ("view", "look"):
        made = made.mean(axis=1, keepdims=True)  # a look may well lower one channel
    lowest = np.diff(made, axis=0).min(axis=1)
    allowed = STEP_BACK * max(1.0, float(np.abs(made).max()))
    if lowest.min() < -allowed:
        at = int(np.argmin(lowest))
        yield about(
            subject,
            "curve_is_not_monotonic",
            build.label,
            f"Through {build.label} a lighter grey becomes darker: from {build.given[at]:.4g} to "
            f"{build.given[at + 1]:.4g} the result falls by {-lowest.min():.3g}.",
            "Make the curve or LUT anew; steps back show as bands and cannot be undone.",
        )
