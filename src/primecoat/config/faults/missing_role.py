"""PC504, PC522: roles without which other programs cannot take the config up."""

from __future__ import annotations

from collections.abc import Iterator

import PyOpenColorIO as ocio

from primecoat.config.faults.common import about, spaces
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every role that a config of such content needs and lacks."""
    config = subject.loaded
    kinds = {space.getReferenceSpaceType() for space in spaces(config) if not space.isData()}
    wanted = (
        (
            ocio.REFERENCE_SPACE_SCENE,
            ocio.ROLE_INTERCHANGE_SCENE,
            "light in the scene",
            "ACES2065-1",
        ),
        (
            ocio.REFERENCE_SPACE_DISPLAY,
            ocio.ROLE_INTERCHANGE_DISPLAY,
            "light on a display",
            "CIE XYZ, D65",
        ),
    )
    for kind, role, light, meant in wanted:
        if kind in kinds and not config.hasRole(role):
            yield about(
                subject,
                "interchange_role_is_missing",
                "roles",
                f"There is no role {role}, so nothing says what {light} the numbers stand for.",
                f"Give the role to the space that is {meant}.",
            )
    if not config.hasRole(ocio.ROLE_SCENE_LINEAR):
        yield about(
            subject,
            "working_role_is_missing",
            "roles",
            f"There is no role {ocio.ROLE_SCENE_LINEAR}; a renderer cannot tell what to work in.",
            "Give the role to the working space, such as ACEScg.",
        )
