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


def change_words(found: Proof) -> str:
    """Return by how much the picture changes, as a sentence."""
    if abs(found.change.value) <= max(found.change.within, TELLING):
        return "No difference here."
    return f"The picture changes by {told(found.change)}."


def nearer_words(found: Proof) -> str:
    """Return which working space is nearer to the spectral picture, as a sentence."""
    if found.nearer == "no difference here":
        return "Nearer to the spectral picture: no difference here."
    by = Figure(value=abs(found.farther.value), within=found.farther.within)
    return f"Nearer to the spectral picture: {SPACES[found.nearer]}, by {told(by)}."
