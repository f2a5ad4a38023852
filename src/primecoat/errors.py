"""Everything that stops Primecoat from working, as one tree.

::

    PrimecoatError
    ├── UseError        the call cannot be carried out as asked           exit 2
    ├── InputError      a file cannot be read or understood               exit 2
    │   └── ImageError  one picture cannot be read; a survey goes on      exit 2
    └── RefusedError    acting would be unsafe; nothing was changed       exit 1

Trouble in a user's scene is a :class:`primecoat.findings.Finding`, not an exception.
Every message says what failed, on what, what was found, and what to do.
"""

from __future__ import annotations

import shlex
import sys


class PrimecoatError(Exception):
    """Root of all errors raised on purpose; carries a message and a remedy.

    Examples
    --------
    >>> str(UseError("There is no route 'paint'.", "Use tag, declare or bake."))
    "There is no route 'paint'. Use tag, declare or bake."
    """

    exit_code = 3

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message, remedy)
        self.message = message
        self.remedy = remedy

    def __str__(self) -> str:
        """Return the message and the remedy as one line."""
        return f"{self.message} {self.remedy}".strip()


class UseError(PrimecoatError):
    """The call cannot be carried out as asked."""

    exit_code = 2


class InputError(PrimecoatError):
    """A file cannot be read or understood."""

    exit_code = 2


class ImageError(InputError):
    """One picture cannot be read."""


class TooLargeError(ImageError):
    """One picture claims more than the limits in force let be decoded."""


class RefusedError(PrimecoatError):
    """Acting would be unsafe; nothing was changed."""

    exit_code = 1


def how_to_install(extra: str) -> str:
    """Return what to type to have an optional part, for the Python that runs now.

    Primecoat is on no package index, so the part is installed from the project's own folder.

    Parameters
    ----------
    extra
        Its name in ``pyproject.toml``: ``farm`` or ``proof``.

    Examples
    --------
    >>> how_to_install("proof").endswith("-m pip install '.[proof]'")
    True
    """
    python = shlex.quote(sys.executable or "python")
    return (
        "In the folder that Primecoat was installed from, type: "
        f"{python} -m pip install '.[{extra}]'"
    )
