"""Accuracy, calibration and confusion of readings against labels."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from evaluation.cases import Case
from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.reading.judgement import Judgement

BINS = 10
"""Bins of equal width in which confidence is compared with how often it was right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One case and what was read.

    Parameters
    ----------
    colour
        Probability that it is colour.
    reading, standing, confidence
        Of the image.
    first
        The most probable reading, whether or not it was decided for; empty if there is none.
    """

    case: Case
    colour: float
    reading: str
    standing: str
    confidence: float
    first: str


def outcome_of(case: Case, judgement: Judgement) -> Outcome:
    """Return the outcome of a judgement; with nothing said, colour is as probable as not."""
    found = {c.reading: c.confidence for c in judgement.candidates}
    colour = judgement.colour
    if colour is None:
        colour = 1.0 - found.get(DATA, 0.0) if found else 0.5
    return Outcome(
        case=case,
        colour=colour,
        reading=judgement.reading,
        standing=judgement.standing,
        confidence=max(found.values(), default=0.0),
        first=max(found, key=lambda r: found[r]) if found else "",
    )


def decided(outcome: Outcome, likely: float) -> bool:
    """Tell whether it was decided if the picture is colour or data, whatever the exact space."""
    return outcome.colour >= likely or outcome.colour <= 1.0 - likely


def kind_is_right(outcome: Outcome) -> bool:
    """Tell whether the more probable kind is the true one."""
    return (outcome.colour > 0.5) == (outcome.case.kind == "colour")


def is_right(reading: str, case: Case) -> bool:
    """Tell whether an exact reading is what true statements tell."""
    return reading == case.space or reading in case.accepted


def calibration_error(
    confidences: Sequence[float], right: Sequence[bool], bins: int = BINS
) -> float:
    """Return the expected calibration error with bins of equal width over 0 to 1.

    The mean, weighted by size, over the bins, of how far the mean confidence is from the share
    that is right. Source: Naeini, Cooper, Hauskrecht, *Obtaining Well Calibrated Probabilities
    Using Bayesian Binning*, AAAI 2015.

    Examples
    --------
    >>> round(calibration_error([0.95, 0.95, 0.65, 0.65], [True, True, True, False]), 3)
    0.1
    """
    groups: dict[int, list[tuple[float, bool]]] = {}
    for confidence, true in zip(confidences, right, strict=True):
        place = min(bins - 1, math.floor(confidence * bins + 1e-9))
        groups.setdefault(place, []).append((confidence, true))
    gaps = (abs(sum(c - t for c, t in group)) for group in groups.values())
    return sum(gaps) / max(1, len(confidences))


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Figures of one run over labelled pictures; shares are 0 to 1, None of nothing.

    Parameters
    ----------
    count
        Pictures counted.
    kind_right
        Share right on colour versus data, of those decided.
    kind_undecided
        Share not decided on that.
    kind_calibration
        Calibration error of the probability of colour.
    told
        Pictures whose exact reading a true statement tells, data included.
    reading_right, reading_unknown
        Of those: share read right, of those that are given a reading; share given none.
    reading_calibration
        Of those: calibration error of the most probable reading.
    colour_told, space_right
        Colour pictures among those, and the share of them whose space is read right.
    unknown
        Share of all pictures whose reading is ``unknown``.
    settled
        Share settled.
    settled_wrong
        Settled ones that are wrong.
    settled_untold
        Settled in a colour space that no true statement tells.
    """

    count: int
    kind_right: float | None
    kind_undecided: float
    kind_calibration: float
    told: int
    reading_right: float | None
    reading_unknown: float
    reading_calibration: float
    colour_told: int
    space_right: float | None
    unknown: float
    settled: float
    settled_wrong: int
    settled_untold: int


def figures(outcomes: Sequence[Outcome], likely: float) -> Figures:
    """Return the figures of some outcomes.

    Parameters
    ----------
    likely
        Probability from which colour or data counts as decided.
    """
    firm = [o for o in outcomes if decided(o, likely)]
    told = [o for o in outcomes if o.case.space != UNKNOWN]
    colour_told = [o for o in told if o.case.kind == "colour"]
    given = [o for o in told if o.reading != UNKNOWN]
    settled = [o for o in outcomes if o.standing == "settled"]
    return Figures(
        count=len(outcomes),
        kind_right=_share(kind_is_right(o) for o in firm),
        kind_undecided=1.0 - len(firm) / max(1, len(outcomes)),
        kind_calibration=calibration_error(
            [o.colour for o in outcomes], [o.case.kind == "colour" for o in outcomes]
        ),
        told=len(told),
        reading_right=_share(is_right(o.reading, o.case) for o in given),
        reading_unknown=1.0 - len(given) / max(1, len(told)),
        reading_calibration=calibration_error(
            [o.confidence for o in told], [is_right(o.first, o.case) for o in told]
        ),
        colour_told=len(colour_told),
        space_right=_share(is_right(o.reading, o.case) for o in colour_told),
        unknown=sum(o.reading == UNKNOWN for o in outcomes) / max(1, len(outcomes)),
        settled=len(settled) / max(1, len(outcomes)),
        settled_wrong=len(settled_wrong(settled)),
        settled_untold=len(settled_untold(settled)),
    )


def settled_wrong(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """Return those that are settled on something that is not so."""
    return [
        o
        for o in outcomes
        if o.standing == "settled"
        and ((o.reading == DATA) != (o.case.kind == "data") or _misread(o.reading, o.case))
    ]


def settled_untold(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """Return colour pictures that are settled in a space which no true statement tells."""
    return [
        o
        for o in outcomes
        if o.standing == "settled" and o.case.space == UNKNOWN and o.reading != DATA
    ]


def _misread(reading: str, case: Case) -> bool:
    return case.space != UNKNOWN and not is_right(reading, case)


def worst(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """Return those wrong on colour versus data, the surest of them first."""
    wrong = [o for o in outcomes if not kind_is_right(o)]
    return sorted(wrong, key=lambda o: (-abs(o.colour - 0.5), o.case.path))


def by_subject(outcomes: Sequence[Outcome], likely: float) -> dict[str, dict[str, int]]:
    """Return how many of each subject were read as colour, as data, or left undecided."""
    table: dict[str, Counter[str]] = {}
    for o in outcomes:
        found = "undecided" if not decided(o, likely) else "colour" if o.colour > 0.5 else "data"
        table.setdefault(f"{o.case.kind}: {o.case.subject or o.case.content}", Counter())[
            found
        ] += 1
    return {
        subject: {name: table[subject][name] for name in ("colour", "data", "undecided")}
        for subject in sorted(table)
    }


def by_space(outcomes: Iterable[Outcome]) -> dict[tuple[str, str], int]:
    """Return how often each told reading was read as which, most frequent first."""
    found = Counter((o.case.space, o.reading) for o in outcomes if o.case.space != UNKNOWN)
    return dict(found.most_common())


def _share(right: Iterable[bool]) -> float | None:
    values = list(right)
    return sum(values) / len(values) if values else None
