"""PC521, PC527: views in which neutral grey does not stay neutral.

A view that simulates another white tints every level alike; that may be meant and is told as a
note. A tint that changes with the level is a fault.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from primecoat.config.builds import Build, Floats
from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding

NEUTRAL: Final = 1e-5
"""Greatest difference of two channels (0 to 1) of a neutral; ACES 2 views stay within 2.2e-6."""

NEUTRAL_BY_LUT: Final = 0.5 / 1023
"""The same for a view made with a LUT: half a 10-bit code, as finely as such tables are stored."""

SAME_WHITE: Final = 0.0005
"""Greatest difference in x and y of greys that have the same white."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every view that tints greys; one with a look on it may do so."""
    for build in subject.builds:
        if build.kind != "view" or not len(build.made) or not np.isfinite(build.made).all():
            continue
        display, _, view = build.name.partition(" / ")
        if subject.loaded.getDisplayViewLooks(display, view):
            continue
        spread = build.made.max(axis=1) - build.made.min(axis=1)
        allowed = NEUTRAL_BY_LUT if build.has_lut else NEUTRAL
        if spread.max() <= allowed:
            continue
        white = _one_white(build.light, build.made)
        if white is not None:
            yield about(
                subject,
                "view_has_another_white",
                build.label,
                f"Through {build.label} every neutral grey has the white x {white[0]:.4f}, "
                f"y {white[1]:.4f}.",
                "Nothing, if the view simulates that white; else look for a missing adaptation.",
            )
            continue
        yield _tinted(subject, build, spread)


def _tinted(subject: Subject, build: Build, spread: Floats) -> Finding:
    at = int(np.argmax(spread))
    stops = float(np.log2(build.given[at] / 0.18))
    channels = " ".join(f"{value:.4f}" for value in build.made[at])
    return about(
        subject,
        "neutral_gets_a_tint",
        build.label,
        f"Through {build.label} neutral grey at {stops:+.1f} stops from mid-grey becomes "
        f"{channels}: {255 * spread[at]:.2g} of 255 codes apart.",
        "Correct the matrix or LUT, or name it a look if the tint is meant.",
    )


def _one_white(light: Floats, made: Floats) -> tuple[float, float] | None:
    """Return the chromaticity that all greys have, leaving out near black and what is cut off."""
    if not len(light):
        return None
    told = (light[:, 1] > 0.01) & (made.max(axis=1) < 0.95 * made.max())
    if np.count_nonzero(told) < 3:
        return None
    sums = light[told].sum(axis=1)
    xy = light[told, :2] / sums[:, None]
    if np.ptp(xy, axis=0).max() > SAME_WHITE:
        return None
    x, y = xy.mean(axis=0)
    return float(x), float(y)
