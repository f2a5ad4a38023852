"""PC510: a file rule that finds its word inside everyday words, as ``raw`` in ``strawberry``."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from importlib.resources import files as package_files
from pathlib import PurePosixPath

import PyOpenColorIO as ocio

from primecoat.config.faults.common import PATH_SEARCH, FileRule, about, file_rules
from primecoat.config.faults.pattern_samples import samples
from primecoat.config.faults.rule_trial import alone
from primecoat.config.subject import Subject
from primecoat.findings import Finding

CONTROL = "zyzzx"
"""A word that no rule is for: a rule that fires on it goes by something else than words."""

SHOWN = 5
"""How many trapped words a finding names."""


@lru_cache(maxsize=1)
def everyday_words() -> tuple[str, ...]:
    """Return the words that rules are tried on; the list says where they are from."""
    text = (
        package_files("primecoat.config.faults").joinpath("everyday_words.txt").read_text("utf-8")
    )
    return tuple(line for line in text.splitlines() if line and not line.startswith("#"))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every rule that an everyday word sets off."""
    for rule in file_rules(subject.loaded):
        if rule.plain:
            fires, ending = alone(rule), _ending(rule)
        elif rule.name == PATH_SEARCH:
            fires, ending = _path_search(subject.loaded), ".png"
        else:
            continue
        if fires(CONTROL + ending):
            continue
        trapped = [w for w in everyday_words() if fires(w + ending)]
        if trapped:
            goes_by = rule.words if rule.plain else "the names of spaces anywhere in the path"
            more = f" and {len(trapped) - SHOWN} more" if len(trapped) > SHOWN else ""
            yield about(
                subject,
                "rule_fires_inside_words",
                f"file rule {rule.name}",
                f"The file rule {rule.name!r} ({goes_by}) also takes "
                f"{', '.join(w + ending for w in trapped[:SHOWN])}{more}.",
                "Have it look for the word between delimiters: '*_raw' or '.*[._-]raw[._-].*'."
                if rule.plain
                else "Take the rule out and write rules for delimited words.",
            )


def _ending(rule: FileRule) -> str:
    """Return the ending of the names that a rule is for."""
    if not rule.regex:
        made = samples(pattern="x", extension=rule.extension, regex="")
        return "." + made[0].partition(".")[2] if made else ".png"
    fires = alone(rule)
    for name in samples(pattern="", extension="", regex=rule.regex):
        if fires(name):
            return PurePosixPath(name).suffix or ".png"
    return ".png"


def _path_search(config: ocio.Config) -> Callable[[str], bool]:
    """Return what says whether the path-search rule finds the name of a space inside a word."""
    names = [str(name).lower() for name in config.getColorSpaceNames()]
    names += [str(a).lower() for s in config.getColorSpaces() for a in s.getAliases()]
    names += [str(role).lower() for role in config.getRoleNames()]
    hunt = re.compile(
        "|".join(map(re.escape, sorted(set(filter(None, names)), key=len))) or r"\b\B"
    )

    def fires(path: str) -> bool:
        return bool(hunt.search(path)) and bool(config.parseColorSpaceFromString(path))

    return fires
