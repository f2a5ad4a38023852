"""The figures of a proof in words, the same in a terminal and on a page."""

from __future__ import annotations

from typing import Final

from primecoat.proof.paths.certainty import Figure
from primecoat.proof.paths.outcome import TELLING, Proof

SPACES: Final = {"rec709": "Rec.709", "ap1": "AP1"}


def told(one: Figure) -> str:
    """Return a figure with its certainty.

    Examples
    --------
    >>> told(Figure(value=1.23456, within=0.0123))
    '1.235 ± 0.012'
    """
    return f"{one.value:.3f} ± {one.within:.3f}"


def none_words(one: Figure) -> str:
    """Return that there is no difference, or that none is told from chance.

    Examples
    --------
    >>> none_words(Figure(value=0.01, within=0.02))
    'no difference here'
    >>> none_words(Figure(value=0.1, within=0.4))
    'none is told from chance (0.100 ± 0.400); more paths would tell a smaller one'
    """
    if one.within <= TELLING:
        return "no difference here"
    return f"none is told from chance ({told(one)}); more paths would tell a smaller one"


def change_words(found: Proof) -> str:
    """Return by how much the picture changes, as a sentence."""
    if abs(found.change.value) <= max(found.change.within, TELLING):
        words = none_words(found.change)
        return f"{words[0].upper()}{words[1:]}."
    return f"The picture changes by {told(found.change)}."


def nearer_words(found: Proof) -> str:
    """Return which working space is nearer to the spectral picture, as a sentence."""
    if found.nearer == "no difference here":
        return f"Nearer to the spectral picture: {none_words(found.farther)}."
    by = Figure(value=abs(found.farther.value), within=found.farther.within)
    return f"Nearer to the spectral picture: {SPACES[found.nearer]}, by {told(by)}."
