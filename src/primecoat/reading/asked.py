"""What a person asked with, and the same again as a command that can be pasted."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, replace
from pathlib import Path

from primecoat.location import pasteable

_RUNS = ("--root", "--house")
_JUDGES = (*_RUNS, "--config", "--from")
_TAKES = {
    "survey": (*_JUDGES, "--to"),
    "plan": (*_JUDGES, "--to"),
    "gate": _JUDGES,
    "decide": _RUNS,
    "undo": _RUNS,
    "recover": _RUNS,
}
"""Verbs that advice names, and which of these options each takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Options of a run that decide what is found, as the person gave them; else empty or None.

    Parameters
    ----------
    roots
        Folders the scene may reach.
    from_space, to_space, config, house
        As for :func:`primecoat.survey`; not what a house or the environment says.
    """

    roots: tuple[Path, ...] = ()
    from_space: str | None = None
    to_space: str | None = None
    config: str | None = None
    house: str | None = None

    def words(self, verb: str) -> str:
        """Return the options that a verb takes of these, quoted for the shell, a space before each.

        Examples
        --------
        >>> Asked(roots=(Path("my shots"),), to_space="lin_ap1_scene").words("decide")
        " --root 'my shots'"
        """
        given = [("--root", pasteable(root)) for root in self.roots]
        given += [
            (option, shlex.quote(value))
            for option, value in (
                ("--house", self.house),
                ("--config", self.config),
                ("--from", self.from_space),
                ("--to", self.to_space),
            )
            if value
        ]
        return "".join(f" {option} {value}" for option, value in given if option in _TAKES[verb])


NOTHING_ASKED = Asked()
"""A run without any such option."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """A target and what it was asked with: advice names both, or following it asks otherwise."""

    target: Path
    asked: Asked = NOTHING_ASKED

    def command(self, verb: str, *words: str) -> str:
        """Return a command on the target, with the options of this run that the verb takes.

        Parameters
        ----------
        words
            What stands after the target; an option among them is not said twice.

        Examples
        --------
        >>> again = Again(target=Path("/tea.usda"), asked=Asked(roots=(Path("."),), house="none"))
        >>> again.command("plan", "--route", "tag")
        'primecoat plan /tea.usda --route tag --root . --house none'
        """
        asked = replace(self.asked, from_space=None) if "--from" in words else self.asked
        said = "".join(f" {shlex.quote(word)}" for word in words)
        return f"primecoat {verb} {pasteable(self.target)}{said}{asked.words(verb)}"

    def on(self, target: Path) -> Again:
        """Return the same of another target."""
        return replace(self, target=target)
