"""The weights of evidence, read from ``policy.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Policy:
    """Named weights in named groups; see the comments in ``policy.toml``."""

    groups: dict[str, dict[str, float]]

    def weight(self, group: str, name: str) -> float:
        """Return one weight.

        Examples
        --------
        >>> policy().weight("standing", "settled")
        0.99
        """
        return self.groups[group][name]


@cache
def policy() -> Policy:
    """Return the policy that ships with primecoat."""
    text = resources.files("primecoat.reading").joinpath("policy.toml").read_text("utf-8")
    return Policy(tomllib.loads(text))
