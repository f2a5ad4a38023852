"""House conventions as frozen data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from primecoat.location import counted, printable


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """What a file ``primecoat.toml`` says; nothing where there is none.

    Parameters
    ----------
    file
        The file, absolute; None where there is none.
    named
        Whether the user named the file, or it was found beside the scene.
    from_space, to_space
        Color Interop IDs of the working space scenes were made in, and that they move to.
    config
        OpenColorIO config: full name of a built-in one, or path of a file.
    roots
        Folders, absolute, that scenes may reach.
    tokens
        The house's own words for readings, lower case, each with its reading.
    slots
        Patterns for the names of pictures, each with the slot that such a picture is made for;
        the first that fits counts.
    route
        Route of a plan, if the command line names none.
    closes_gate
        Codes of findings that keep the gate closed, whatever their severity.
    overruled
        Keys of the file that the command line or the environment says otherwise.
    """

    file: Path | None = None
    named: bool = False
    from_space: str | None = None
    to_space: str | None = None
    config: str | None = None
    roots: tuple[Path, ...] = ()
    tokens: tuple[tuple[str, str], ...] = ()
    slots: tuple[tuple[str, str], ...] = ()
    route: str | None = None
    closes_gate: tuple[str, ...] = ()
    overruled: tuple[str, ...] = ()

    def under(self, **said: object) -> House:
        """Return the conventions as they stand beside what was said for this run.

        Parameters
        ----------
        said
            By key (``roots``, ``from``, ``to``, ``config``, ``route``): what the command line or
            the environment says; what says nothing is empty or None.

        Examples
        --------
        >>> House(to_space="lin_ap1_scene").under(to="lin_rec2020_scene").overruled
        ('to',)
        """
        more = [key for key, value in said.items() if value and key in self._values()]
        return replace(self, overruled=tuple(dict.fromkeys((*self.overruled, *more))))

    @property
    def applied(self) -> dict[str, Any]:
        """What of it holds in this run, by its key in the file; lists by how many they are."""
        return {key: value for key, value in self._values().items() if key not in self.overruled}

    @property
    def words(self) -> str:
        """Which file it is and what of it holds, in one line; empty where there is none.

        Examples
        --------
        >>> House(file=Path("/tea/primecoat.toml"), to_space="lin_ap1_scene").words
        '/tea/primecoat.toml: to lin_ap1_scene'
        """
        if self.file is None:
            return ""
        said = [_word(key, value) for key, value in self.applied.items()]
        text = f"{self.file.as_posix()}: {', '.join(said) or 'nothing that holds here'}"
        if self.overruled:
            text += f" (overruled: {', '.join(self.overruled)})"
        return printable(text)

    def as_document(self) -> dict[str, Any] | None:
        """Return it as it stands in documents; None where there is none."""
        if self.file is None:
            return None
        return {
            "file": printable(self.file.as_posix()),
            "named": self.named,
            "applied": {
                key: printable(value) if isinstance(value, str) else value
                for key, value in self.applied.items()
            },
            "overruled": list(self.overruled),
        }

    def _values(self) -> dict[str, Any]:
        values = {
            "from": self.from_space,
            "to": self.to_space,
            "config": self.config,
            "roots": [folder.as_posix() for folder in self.roots],
            "tokens": len(self.tokens),
            "slots": len(self.slots),
            "route": self.route,
            "closes_gate": list(self.closes_gate),
        }
        return {key: value for key, value in values.items() if value}


NO_HOUSE = House()
"""No conventions at all."""


def _word(key: str, value: Any) -> str:
    if key == "tokens":
        return counted(value, "token")
    if key == "slots":
        return counted(value, "pattern") + " for slots"
    name = "gate closed by" if key == "closes_gate" else key
    return f"{name} {' '.join(value) if isinstance(value, list) else value}"
