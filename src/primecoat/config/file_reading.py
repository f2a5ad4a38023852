"""What OpenColorIO reads a path as: its file rules alone, and which one fired.

OpenColorIO looks at the path, never at the file. The first rule that matches wins; the last, the
default rule, matches everything. A path-search rule hunts for the name of any colour space
anywhere in the path, folders included and inside longer words: ``raw`` in ``strawberry``.
"""

from __future__ import annotations

import os
from dataclasses import dataclass

import PyOpenColorIO as ocio

from primecoat.errors import InputError

PATH_SEARCH = "ColorSpaceNamePathSearch"
"""OpenColorIO's name for the rule that hunts for colour spaces in the path."""

SHORT = 40
"""Length up to which a pattern is worth showing in a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileReading:
    """What a config's file rules make of one path.

    Parameters
    ----------
    path
        As it was handed over.
    space
        Colour space, role or named transform, as the rule names it.
    rule
        Index of the rule that fired, from 0.
    rule_name, pattern
        The rule's name, and what it matches: a regular expression or a glob such as ``*.exr``.
        The path-search rule and the default rule have no pattern.
    only_default
        Whether no rule but the default one matches.
    word
        What the path-search rule found in the path, as it stands there; empty for other rules.
    in_folder
        Whether that word stands in the name of a folder.
    """

    path: str
    space: str
    rule: int
    rule_name: str
    pattern: str
    only_default: bool
    word: str = ""
    in_folder: bool = False

    @property
    def why(self) -> str:
        """Which rule fired, in words that end no sentence."""
        if self.word:
            place = "in the name of a folder" if self.in_folder else "in its name"
            return f"the path-search rule found {self.word!r} {place}"
        if self.only_default:
            return "no rule but the default one knows it"
        pattern = f" ({self.pattern})" if 0 < len(self.pattern) <= SHORT else ""
        return f"the rule {self.rule_name}{pattern} fired"


def read_path(config: ocio.Config, path: str) -> FileReading:
    r"""Return what a config's file rules make of a path; the file need not exist.

    Parameters
    ----------
    config
        The config.
    path
        As a program would hand it over: folders count.

    Raises
    ------
    InputError
        If OpenColorIO cannot carry out the rules.

    Examples
    --------
    >>> from primecoat.colour.ocio import load_config
    >>> found = read_path(load_config("cg-config-v4.0.0_aces-v2.0_ocio-v2.5"), "tea/sky.hdr")
    >>> found.space, found.rule_name, found.only_default
    ('sRGB - Display', 'Default', True)
    """
    handed = os.fsencode(path)  # a name that is no UTF-8 is handed over as its bytes
    try:
        space, rule = config.getColorSpaceFromFilepath(handed)
        only_default = config.filepathOnlyMatchesDefaultRule(handed)
    except ocio.Exception as error:
        raise InputError(
            f"The config's file rules cannot be asked about {path}: {str(error).splitlines()[0]}",
            "Check the config: primecoat config check CONFIG.",
        ) from error
    rules = config.getFileRules()
    name = str(rules.getName(rule))
    word, in_folder = _found(config, str(space), path) if name == PATH_SEARCH else ("", False)
    return FileReading(
        path=path,
        space=str(space),
        rule=int(rule),
        rule_name=name,
        pattern=_pattern(rules, rule),
        only_default=bool(only_default),
        word=word,
        in_folder=in_folder,
    )


def _pattern(rules: ocio.FileRules, rule: int) -> str:
    """Return the regular expression of a rule, or its glob for name and ending together."""
    if rules.getRegex(rule):
        return str(rules.getRegex(rule))
    name, ending = str(rules.getPattern(rule)), str(rules.getExtension(rule))
    return f"{name}.{ending}" if ending else name


def _found(config: ocio.Config, space: str, path: str) -> tuple[str, bool]:
    """Return the word that the path-search rule went by: the rightmost, then the longest."""
    known = config.getColorSpace(space)
    names = (space,) if known is None else (str(known.getName()), *map(str, known.getAliases()))
    lower = path.lower()
    ends = [(lower.rfind(n.lower()) + len(n), len(n)) for n in names if n.lower() in lower]
    if not ends:
        return "", False
    end, length = max(ends)
    return path[end - length : end], end <= max(path.rfind("/"), path.rfind("\\")) + 1
