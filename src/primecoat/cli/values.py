"""What a shell offers as the value of an option: closed words, and names that never change.

Names of views and displays are left out: they hold spaces, which not every shell puts in quotes.
Where nothing fits what was typed, the shell offers files.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import typer

from primecoat.colour.ids import SPACES

Offer = Callable[[str], list[str]]


def one_of(words: Iterable[str]) -> Offer:
    """Return what offers one of some words.

    Examples
    --------
    >>> one_of(("tag", "declare", "bake"))("d")
    ['declare']
    """
    known = tuple(words)

    def offer(incomplete: str) -> list[str]:
        return [word for word in known if word.startswith(incomplete)]

    return offer


def some_of(words: Iterable[str]) -> Offer:
    """Return what offers several of some words, each once, with commas between.

    Examples
    --------
    >>> some_of(("slot", "name", "pixels"))("slot,")
    ['slot,name', 'slot,pixels']
    """
    known = tuple(words)

    def offer(incomplete: str) -> list[str]:
        *given, last = incomplete.split(",")
        left = [word for word in known if word.startswith(last) and word not in given]
        return [",".join((*given, word)) for word in left]

    return offer


def built_in_configs(incomplete: str) -> list[str]:
    """Return the full names of built-in OpenColorIO configs that begin with some text."""
    from primecoat.colour.ocio.kept import builtin_names

    return [name for name in builtin_names() if name.startswith(incomplete)]


def routes(incomplete: str) -> list[str]:
    """Return the routes of a plan that begin with some text."""
    from primecoat.house.read import ROUTES

    return one_of(ROUTES)(incomplete)


def space_option(name: str, words: str) -> Any:
    """Return an option for a colour space; Color Interop IDs are offered.

    Parameters
    ----------
    name, words
        What the option is called, and its help.
    """
    return typer.Option(name, help=words, metavar="SPACE", autocompletion=one_of(SPACES))
