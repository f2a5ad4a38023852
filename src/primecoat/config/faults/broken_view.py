"""PC507, PC508: views that name what is not there, and displays without a view to judge by."""

from __future__ import annotations

from collections.abc import Iterator

import PyOpenColorIO as ocio

from primecoat.config.faults.common import about, has_space
from primecoat.config.subject import Subject
from primecoat.findings import Finding

USE_DISPLAY = str(ocio.OCIO_VIEW_USE_DISPLAY_NAME)


def absent_parts(config: ocio.Config, display: str, view: str) -> tuple[str, ...]:
    """Return in words what a view names and the config has not."""
    parts = []
    space = str(config.getDisplayViewColorSpaceName(display, view))
    space = display if space == USE_DISPLAY else space
    if not has_space(config, space):
        parts.append(f"the space {space!r}")
    transform = str(config.getDisplayViewTransformName(display, view))
    known = config.getViewTransform(transform) or config.getNamedTransform(transform)
    if transform and known is None:
        parts.append(f"the view transform {transform!r}")
    parts += [f"the look {n!r}" for n in looks_of(config, display, view) if not config.getLook(n)]
    rule = str(config.getDisplayViewRule(display, view))
    rules = config.getViewingRules()
    if rule and rule not in {str(rules.getName(i)) for i in range(rules.getNumEntries())}:
        parts.append(f"the viewing rule {rule!r}")
    return tuple(parts)


def looks_of(config: ocio.Config, display: str, view: str) -> tuple[str, ...]:
    """Return the names of the looks that a view applies; all, where it has alternatives (``|``)."""
    looks = str(config.getDisplayViewLooks(display, view))
    names = looks.replace("|", ",").replace(":", ",").split(",")
    return tuple(look for name in names if (look := name.strip().lstrip("+-").strip()))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every broken view, and for every display with no view that works."""
    config = subject.loaded
    broken = {build.name for build in subject.builds if build.kind == "view" and build.trouble}
    for display in map(str, config.getDisplaysAll()):
        usable = False
        for view in map(str, config.getViews(display)):
            absent = absent_parts(config, display, view)
            name = str(config.getDisplayViewColorSpaceName(display, view))
            space = config.getColorSpace(display if name == USE_DISPLAY else name)
            data = space is not None and space.isData()
            usable |= not (absent or data or f"{display} / {view}" in broken)
            if absent:
                yield about(
                    subject,
                    "view_names_absent_part",
                    f"view {view} of {display}",
                    f"The view {view!r} of the display {display!r} needs "
                    f"{' and '.join(absent)}, and the config has no such thing.",
                    "Correct the name, or take the view out.",
                )
        if not usable:
            yield about(
                subject,
                "display_has_no_usable_view",
                f"display {display}",
                f"The display {display!r} has no view to judge a picture by: each is broken, "
                "shows raw numbers, or is not among active_views.",
                "Give it a view that works.",
            )
