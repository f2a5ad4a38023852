"""Put names to a single file rule, as OpenColorIO itself applies it."""

from __future__ import annotations

from collections.abc import Callable

import PyOpenColorIO as ocio

from primecoat.config.faults.common import FileRule

Fires = Callable[[str], bool]


def alone(rule: FileRule) -> Fires:
    """Return what says whether a rule fires on a path, if no other rule were before it."""
    config = ocio.Config.CreateRaw()
    rules = ocio.FileRules()
    if rule.regex:
        rules.insertRule(0, "rule", "raw", rule.regex)
    else:
        rules.insertRule(0, "rule", "raw", rule.pattern, rule.extension)
    rules.setDefaultRuleColorSpace("raw")
    config.setFileRules(rules)
    return lambda path: int(config.getColorSpaceFromFilepath(path)[1]) == 0


def which(config: ocio.Config, path: str) -> int:
    """Return the index of the rule that fires on a path in the whole config."""
    return int(config.getColorSpaceFromFilepath(path)[1])
