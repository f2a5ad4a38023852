"""What a config says beyond its base, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ids import UNKNOWN
from primecoat.config.look_file import LookFile


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRule:
    """One file rule: files of these names are of this space.

    Parameters
    ----------
    name
        Name of the rule, which OpenColorIO reports when it fires.
    regex
        ECMAScript regular expression that the whole path must match.
    reading
        Color Interop ID or ``data``.
    """

    name: str
    regex: str
    reading: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSpace:
    """One reading's colour space in the config.

    Parameters
    ----------
    reading
        Color Interop ID or ``data``.
    name
        The config's own name for it.
    added
        Whether the base lacks it.
    """

    reading: str
    name: str
    added: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfigContent:
    """A config as it is to be written.

    Parameters
    ----------
    base
        Full name of the built-in config that it is made from.
    version
        OpenColorIO profile version, major and minor.
    name, description
        Head of the written config.
    working
        Color Interop ID of the working space.
    spaces
        A space for every reading of the vocabulary, all of whose names it answers to.
    rules
        File rules in order; the first that matches decides.
    default
        Space of a file that no rule matches.
    roles
        Role and name of its space, those of the base included.
    views
        Display and view, those of the base.
    looks
        Names of the base's looks.
    made_in
        Working space the scene was made in; adds the view of before the switch. None adds none.
    old_look
        Look that the old view went through.
    look
        Look file to add.
    """

    base: str
    version: tuple[int, int]
    name: str
    description: str
    working: str
    spaces: tuple[NamedSpace, ...]
    rules: tuple[FileRule, ...]
    default: str = UNKNOWN
    roles: tuple[tuple[str, str], ...]
    views: tuple[tuple[str, str], ...]
    looks: tuple[str, ...]
    made_in: str | None = None
    old_look: LookFile | None = None
    look: LookFile | None = None

    @property
    def keeps_ids(self) -> bool:
        """Whether a space can state its Color Interop ID (OpenColorIO 2.5 and later)."""
        return self.version >= (2, 5)
