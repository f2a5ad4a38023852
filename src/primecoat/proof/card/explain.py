"""Every way to make the picture, weighed against what is seen.

A way is a view, a working space, and a reading of each input. Views are weighed by the grey
wedges, which look the same in every working space; then each input by itself, in each working
space that is left. Nothing is held to be likelier than anything else beforehand; "none of these"
is always among the answers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from primecoat.proof.card.candidates import (
    ABSENT,
    Candidate,
    Values,
    candidates,
    lamp_patches,
    lit_constants,
    white_wedge,
)
from primecoat.proof.card.fit import NOTHING, STRAY_ERROR, Fit, best_fit, fit_at, spread
from primecoat.proof.card.inputs import INPUTS
from primecoat.proof.card.model import ViewChoice
from primecoat.proof.card.sample import Look
from primecoat.proof.card.views import shown, steepness

Seen = Mapping[bool, Mapping[str, Look]]
"""What each input looks like, by whether the numbers are taken for display codes."""

_KEPT: Final = 15.0
"""Ways whose log likelihood is this much below the best are given up."""

_SCALE_COST: Final = 8.0
"""What log likelihood must gain by a light of any strength over no light: any colour fits black
if it is dim enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A view, a working space and the space of the numbers, with every input's readings.

    Parameters
    ----------
    view, working
        The way.
    wedge
        How the white wedge fits.
    log_likelihood
        Of the whole picture, each input read as fits best.
    fits
        For each input its candidates with their fits.
    """

    view: ViewChoice
    working: str
    wedge: Fit
    log_likelihood: float
    fits: Mapping[str, tuple[tuple[Candidate, Fit], ...]]


def views_that_fit(
    seen: Seen,
    views: tuple[ViewChoice, ...],
    space: str,
    *,
    whole: bool,
) -> tuple[tuple[ViewChoice, Fit], ...]:
    """Return the views that explain the white wedge, best first, with their fits."""
    found = []
    for view in views:
        looks = seen[view.baked]
        look = looks["white"]
        show = _show(space, view, space, whole)
        exposed = best_fit(look, _spread(look, view, None, whole), white_wedge(), show)
        deviation = _spread(look, view, exposed.stops, whole)
        found.append((view, best_fit(look, deviation, white_wedge(), show)))
    found.sort(key=lambda one: -one[1].log_likelihood)
    return tuple(one for one in found if one[1].misfit < NOTHING)


def ways(
    seen: Seen,
    views: tuple[tuple[ViewChoice, Fit], ...],
    workings: tuple[str, ...],
    space: str | None,
    config: str,
    *,
    whole: bool,
) -> tuple[Way, ...]:
    """Return all ways that are left, best first.

    Parameters
    ----------
    seen
        What is seen, by whether a view is baked in: display codes are cut off at 0 and 1.
    views
        Views that explain the wedge.
    workings
        Working spaces to try.
    space
        What scene-referred numbers are said to be in; None: in the working space.
    config
        OpenColorIO config.
    whole
        Whether the file holds whole numbers.
    """
    if not views:
        return ()
    best = max(fit.log_likelihood for _, fit in views)
    found = []
    for view, wedge in views:
        if wedge.log_likelihood < best - 4 * _KEPT:
            continue
        looks = seen[view.baked]
        for working in workings:
            show = _show(working, view, space or working, whole)
            fits = _fits(looks, working, config, view, wedge.stops, show, whole)
            total = wedge.log_likelihood + sum(
                max(_nothing(looks[key]), *(fit.log_likelihood for _, fit in of_key))
                for key, of_key in fits.items()
            )
            found.append(
                Way(view=view, working=working, wedge=wedge, log_likelihood=total, fits=fits)
            )
    found.sort(key=lambda way: -way.log_likelihood)
    return tuple(w for w in found if w.log_likelihood >= found[0].log_likelihood - _KEPT)


def shares(values: list[float]) -> list[float]:
    """Return shares of the posterior for log likelihoods.

    Examples
    --------
    >>> shares([-3.0, -3.0])
    [0.5, 0.5]
    """
    found = np.exp(np.array(values) - max(values))
    return [float(v) for v in found / found.sum()]


def _nothing(look: Look) -> float:
    """Return the log likelihood of "none of these"."""
    return -0.5 * NOTHING**2 * look.mean.size


def nothing_fits(look: Look) -> float:
    """Return the log likelihood of the answer that no candidate is right."""
    return _nothing(look)


def _show(working: str, view: ViewChoice, space: str, whole: bool) -> Callable[[Values], Values]:
    return lambda values: shown(values, working, view, space, whole=whole)


def _spread(look: Look, view: ViewChoice, stops: float | None, whole: bool) -> Values:
    """Return how far what is seen may be off, with stray light once the exposure is known."""
    stray: Values | float = 0.0
    if stops is not None:
        stray = STRAY_ERROR * float(np.exp2(stops))
        if view.baked:
            stray = stray * steepness(view, look.mean)
    return spread(look, stray, baked=view.baked, whole=whole)


def _fits(
    looks: Mapping[str, Look],
    working: str,
    config: str,
    view: ViewChoice,
    stops: float,
    show: Callable[[Values], Values],
    whole: bool,
) -> dict[str, tuple[tuple[Candidate, Fit], ...]]:
    known = candidates(working, config)
    light = float(np.exp2(stops))
    found: dict[str, tuple[tuple[Candidate, Fit], ...]] = {}
    predicted: dict[int, Values] = {}  # pictures of colour share their candidates
    for key in INPUTS:
        look = looks[key]
        deviation = _spread(look, view, stops, whole)
        own_light = key in ("emission", "environment")
        lamp = key in ("light_by_colour", "light_by_temperature")
        constants = _best(found["constant"]) if lamp else None
        fits = []
        for candidate in known[key]:
            if constants is not None:
                values = lamp_patches(candidate, constants, key)
            elif key == "constant":
                values = lit_constants(candidate)
            else:
                values = candidate.values
            if own_light or lamp:
                fit = best_fit(look, deviation, values, show)
                if ABSENT not in candidate.readings:
                    fit = replace(fit, log_likelihood=fit.log_likelihood - _SCALE_COST)
            else:
                if id(candidate) not in predicted:
                    predicted[id(candidate)] = show(light * values)
                fit = fit_at(look, deviation, predicted[id(candidate)], stops)
            fits.append((candidate, fit))
        found[key] = tuple(fits)
    return found


def _best(fits: tuple[tuple[Candidate, Fit], ...]) -> Candidate:
    return max(fits, key=lambda one: one[1].log_likelihood)[0]
