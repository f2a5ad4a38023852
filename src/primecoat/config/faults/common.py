"""What several checks ask of a config."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import PyOpenColorIO as ocio

from primecoat.config.subject import Subject
from primecoat.config.transform_files import ALL_SPACES
from primecoat.findings import Finding, finding
from primecoat.location import Location

PATH_SEARCH: Final = str(ocio.FILE_PATH_SEARCH_RULE_NAME)
DEFAULT_RULE: Final = str(ocio.DEFAULT_RULE_NAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRule:
    """One file rule; either a glob pattern with an extension, or a regular expression."""

    name: str
    space: str
    pattern: str
    extension: str
    regex: str

    @property
    def plain(self) -> bool:
        """Whether it is written out, unlike the path-search rule and the default."""
        return self.name not in (PATH_SEARCH, DEFAULT_RULE)

    @property
    def words(self) -> str:
        """The rule as it is written."""
        return repr(self.regex) if self.regex else f"{self.pattern!r}, extension {self.extension!r}"


def file_rules(config: ocio.Config) -> tuple[FileRule, ...]:
    """Return the file rules in the order in which they are tried; the default is the last."""
    rules = config.getFileRules()
    return tuple(
        FileRule(
            name=str(rules.getName(i)),
            space=str(rules.getColorSpace(i)),
            pattern=str(rules.getPattern(i)),
            extension=str(rules.getExtension(i)),
            regex=str(rules.getRegex(i)),
        )
        for i in range(rules.getNumEntries())
    )


def spaces(config: ocio.Config) -> Iterator[ocio.ColorSpace]:
    """Yield every colour space, active or not."""
    yield from config.getColorSpaces(*ALL_SPACES)


def has_space(config: ocio.Config, name: str) -> bool:
    """Whether a name is a space, an alias, a role or a named transform."""
    return config.getColorSpace(name) is not None or config.getNamedTransform(name) is not None


def about(subject: Subject, fault: str, place: str, message: str, remedy: str) -> Finding:
    """Return a finding at a place in the config."""
    return finding(fault, subject.name, message, remedy, Location(subject.name, place))
