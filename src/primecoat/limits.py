"""The most that is read of files from anywhere; each limit can be set by an environment variable.

A limit is there so that a file that lies about its size, or a small one that unpacks without end,
costs one clear line instead of all memory or hours. All are far above what real scenes hold.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import InputError, UseError


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit.

    Parameters
    ----------
    variable
        Environment variable that sets another one, a whole number above 0.
    usual
        The limit if that is not set.
    of
        What is limited, in words.
    """

    variable: str
    usual: int
    of: str

    @property
    def value(self) -> int:
        """The limit in force.

        Raises
        ------
        UseError
            If the variable holds no whole number above 0.

        Examples
        --------
        >>> PIXELS.value == PIXELS.usual or PIXELS.variable in os.environ
        True
        """
        text = os.environ.get(self.variable, "")
        if not text:
            return self.usual
        if not (text.isascii() and text.isdigit() and int(text[:19]) > 0):
            raise UseError(
                f"{self.variable} is {text[:40]!r}, no whole number above 0.",
                f"Set it to the most {self.of}, or take it away ({self.usual} then).",
            )
        return int(text[:19])

    def raised_by(self, needed: int) -> str:
        """Return what a person can do who trusts a file that needs more."""
        return f"If you trust it, set {self.variable}={needed}."


PIXELS = Limit(
    variable="PRIMECOAT_MOST_PIXELS", usual=2**30, of="pixels of a picture that are decoded"
)
"""One picture, or one part of one: 32768 x 32768."""

DECODED_BYTES = Limit(
    variable="PRIMECOAT_MOST_DECODED_BYTES",
    usual=2**31,
    of="bytes of a picture that are decoded in one piece",
)
"""Rows, tiles or chunks that can only be decoded together."""

SCENE_BYTES = Limit(
    variable="PRIMECOAT_MOST_SCENE_BYTES",
    usual=2**29,
    of="bytes of a scene, plan or list that is text",
)
"""JSON, XML, CSV, TOML and USD text; binary scenes may be eight times as large."""

LOOK_BYTES = Limit(
    variable="PRIMECOAT_MOST_LOOK_BYTES", usual=2**27, of="bytes of a look or look-up file"
)
"""A table of 129 x 129 x 129 colours as text has about half of this."""


def refuse_larger(path: Path, name: str, limit: Limit, times: int = 1) -> None:
    """Refuse a file that is larger than a limit, before it is read.

    Raises
    ------
    InputError
        If it is.
    """
    try:
        size = path.stat().st_size
    except OSError:
        return  # reading it will say what is wrong
    if size > limit.value * times:
        raise InputError(
            f"{name} has {size} bytes, more than the {limit.value * times} that are read of such "
            "a file; it was not read.",
            limit.raised_by(-(-size // times)),
        )
