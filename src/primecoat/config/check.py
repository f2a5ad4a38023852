"""What is wrong with an OpenColorIO config, found by building and running all of it."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.config.faults import (
    absent_space,
    bad_numbers,
    broken_view,
    ignored_key,
    inactive_space,
    interop_ids,
    inverted_lut,
    missing_file,
    missing_role,
    profile_version,
    refused,
    rule_inside_words,
    shadowed_rule,
    tinted_neutral,
    unbuildable,
    undeclared_variable,
    unmarked_data,
)
from primecoat.config.faults.common import file_rules, spaces
from primecoat.config.subject import Subject, subject
from primecoat.findings import Finding

FAULTS = (
    ignored_key,
    missing_file,
    absent_space,
    missing_role,
    unmarked_data,
    broken_view,
    shadowed_rule,
    rule_inside_words,
    interop_ids,
    inverted_lut,
    inactive_space,
    unbuildable,
    bad_numbers,
    tinted_neutral,
    undeclared_variable,
    profile_version,
)
"""Modules with ``check(subject)``, which yields findings on a config that could be loaded."""

_EXPLAIN_REFUSAL = ("variable_has_no_default", "path_is_not_portable")
"""Warnings that OpenColorIO's validation may stumble over as well."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """How much of a config was checked.

    Parameters
    ----------
    processors
        Processors built, or tried.
    spaces, views, looks, named_transforms
        Parts that they belong to; a view counts once for each display that has it.
    rules, roles, files
        File rules with the default, roles, and files that transforms name.
    """

    processors: int = 0
    spaces: int = 0
    views: int = 0
    looks: int = 0
    named_transforms: int = 0
    rules: int = 0
    roles: int = 0
    files: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfigCheck:
    """What was found in a config.

    Parameters
    ----------
    config
        Built-in name or path, as asked for.
    version
        Its ``ocio_profile_version``; empty if it could not be loaded.
    findings
        What its owner should know, without repeats.
    counts
        How much was checked.
    """

    config: str
    version: str
    findings: tuple[Finding, ...]
    counts: Counts

    @property
    def sound(self) -> bool:
        """Whether nothing is an error."""
        return all(found.severity != "error" for found in self.findings)


def check_config(name: str) -> ConfigCheck:
    """Check a config whole: build every processor, try every rule, follow every name.

    Files are opened below the config's folder and its search path only.

    Parameters
    ----------
    name
        Name of a built-in config, or path of a config file.

    Raises
    ------
    InputError
        If there is no such file, or it is no OpenColorIO config at all.

    Examples
    --------
    >>> found = check_config("cg-config-v4.0.0_aces-v2.0_ocio-v2.5")
    >>> found.sound, found.counts.spaces, found.counts.looks
    (True, 27, 1)
    """
    given = subject(name)
    if given.config is None:
        found = [*ignored_key.check(given), *refused.check(given)]
        return ConfigCheck(config=name, version="", findings=tuple(found), counts=Counts())
    found = [one for module in FAULTS for one in module.check(given)]
    if all(one.severity != "error" and one.name not in _EXPLAIN_REFUSAL for one in found):
        found += refused.check(given)
    return ConfigCheck(
        config=name,
        version=f"{given.config.getMajorVersion()}.{given.config.getMinorVersion()}",
        findings=tuple(dict.fromkeys(found)),
        counts=_counts(given),
    )


def _counts(given: Subject) -> Counts:
    kinds = {kind: {b.name for b in given.builds if b.kind == kind} for kind in _KINDS}
    return Counts(
        processors=len(given.builds),
        spaces=sum(1 for _ in spaces(given.loaded)),
        views=len(kinds["view"]),
        looks=len(kinds["look"]),
        named_transforms=len(kinds["named transform"]),
        rules=len(file_rules(given.loaded)),
        roles=sum(1 for _ in given.loaded.getRoles()),
        files=len(given.files),
    )


_KINDS = ("view", "look", "named transform")
