"""The pictures of a proof for a page: small PNGs through the view, and maps on common scales."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import UseError
from primecoat.proof.paths.causes import Cause
from primecoat.proof.paths.outcome import Proof, SoFar
from primecoat.proof.paths.sight import seen_difference
from primecoat.renders.pictures.draw import SCREEN
from primecoat.renders.pictures.scales import how_much, round_up
from primecoat.report.shown.png import png

Floats = NDArray[np.float32]

SEEN: Final = ("old", "new", "spectral")


def shown_causes(found: Proof) -> tuple[Cause, ...]:
    """Return the causes whose effect is told from chance, the greatest first."""
    return tuple(one for one in found.causes.causes if one.shown) if found.causes else ()


def proof_png(found: Proof | SoFar, name: str) -> bytes:
    """Return one picture of a proof as PNG.

    Parameters
    ----------
    name
        ``old``, ``new`` or ``spectral``, as they are seen; ``change`` or ``working-space``, maps
        of CIEDE2000; ``cause-N-alone`` or ``cause-N-last`` of a whole proof, N from 1 over those
        of :func:`shown_causes`. Black is no difference; both maps of a cause end at
        :func:`cause_end`, ``change`` and ``working-space`` at :func:`change_end`.

    Raises
    ------
    UseError
        If there is no such picture.
    """
    old, new = found.look("rec709", old=True), found.look("ap1")
    if name in SEEN:
        look = {"old": old, "new": new, "spectral": found.look("spectral")}[name]
        return png(look.codes(found.old if name == "old" else found.new), look.sight.screen)
    if name == "change":
        return _map(_change(found), change_end(found))
    if name == "working-space":
        values = seen_difference(found.new, found.look("rec709"), found.new, new)
        return _map(values, change_end(found))
    word, _, rest = name.partition("-")
    number, _, which = rest.partition("-")
    causes = shown_causes(found) if isinstance(found, Proof) else ()
    if word == "cause" and which in ("alone", "last") and number.isdecimal():
        for at, one in enumerate(causes, start=1):
            if at == int(number):
                values = one.map_alone if which == "alone" else one.map_last
                return _map(values, cause_end(one))
    raise UseError(f"The proof has no picture {name!r}.", "Ask for one of those that it names.")


def change_end(found: Proof | SoFar) -> float:
    """Return the CIEDE2000 that is brightest in the maps of the whole change."""
    return _end([_change(found)])


def cause_end(cause: Cause) -> float:
    """Return the CIEDE2000 that is brightest in both maps of a cause."""
    return _end([cause.map_alone, cause.map_last])


def _change(found: Proof | SoFar) -> Floats:
    old, new = found.look("rec709", old=True), found.look("ap1")
    return seen_difference(found.old, old, found.new, new)


def _end(maps: list[Floats]) -> float:
    return round_up(max((float(np.percentile(one, 99)) for one in maps), default=1.0))


def _map(values: Floats, end: float) -> bytes:
    return png(how_much(values / end), SCREEN)
