"""PC503, PC506, PC526: file rules, roles and looks that name no colour space of the config."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.config.faults.common import PATH_SEARCH, about, file_rules, has_space
from primecoat.config.subject import Subject
from primecoat.findings import Finding

_REMEDY = "Correct the name, or add the space."


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for everything that gives a space which is not there."""
    config = subject.loaded
    for rule in file_rules(config):
        if rule.name != PATH_SEARCH and not has_space(config, rule.space):
            yield about(
                subject,
                "rule_names_absent_space",
                f"file rule {rule.name}",
                f"The file rule {rule.name!r} gives {rule.space!r}, which is no space here.",
                _REMEDY,
            )
    for role, space in config.getRoles():
        if config.getColorSpace(space) is None and config.getNamedTransform(space) is None:
            yield about(
                subject,
                "role_names_absent_space",
                f"role {role}",
                f"The role {role!r} stands for {space!r}, which is no space here.",
                _REMEDY,
            )
    for look in config.getLooks():
        space = str(look.getProcessSpace())
        if config.getColorSpace(space) is None:
            works = f"in {space!r}, which is no space here" if space else "in no space at all"
            yield about(
                subject,
                "look_names_absent_space",
                f"look {look.getName()}",
                f"The look {look.getName()!r} works {works}.",
                "Name in process_space the space that the look was made in.",
            )
