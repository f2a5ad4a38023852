"""Evidence in, judgement out: a pure function of the evidence and the policy.

Two questions are asked one after the other: is it colour or data, and if colour, in which space?
Strengths are log likelihood ratios and add up; confidence is the resulting probability, with
both kinds, and all rival spaces, equally probable beforehand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.reading.evidence import COLOUR, RIVALS, Evidence, agree, is_data, readings_of
from primecoat.reading.judgement import Candidate, Judgement
from primecoat.reading.policy import Policy

_SHOWN_FROM = 0.001
"""Candidates less probable than this are not listed."""


def weigh(evidence: Sequence[Evidence], policy: Policy) -> Judgement:
    """Judge one use, or an image without a use.

    Parameters
    ----------
    evidence
        Everything said about it.
    policy
        Weights and thresholds.

    Examples
    --------
    >>> from primecoat.reading.policy import policy
    >>> weigh((), policy()).standing
    'unknown'
    """
    said_by_person = [e for e in evidence if e.witness == "person"]
    if said_by_person:
        reading = said_by_person[-1].claim
        return Judgement(
            reading=reading,
            standing="overruled",
            confidence=1.0,
            candidates=(Candidate(reading, 1.0),),
            colour=None if reading == UNKNOWN else 0.0 if is_data(reading) else 1.0,
        )
    strong = policy.weight("standing", "strong")
    counted = _without_priors_denied([e for e in evidence if not e.set_aside], strong)
    ranked = _candidates(counted)
    if not counted or not ranked:
        return Judgement(reading=UNKNOWN, standing="unknown", confidence=0.0, candidates=())
    nameless = ranked[0].reading == UNKNOWN  # a space that the vocabulary has no name for
    candidates = tuple(c for c in ranked if c.reading != UNKNOWN)
    best = candidates[0] if candidates else Candidate(UNKNOWN, 0.0)
    colour = _chance_of_colour(counted)
    if disputes(counted, strong) or outvoted(counted, strong):
        return Judgement(
            reading=UNKNOWN,
            standing="conflicting",
            confidence=best.confidence,
            candidates=candidates,
            colour=colour,
        )
    if nameless or best.confidence < policy.weight("standing", "likely"):
        return Judgement(
            reading=UNKNOWN,
            standing="unknown",
            confidence=best.confidence,
            candidates=candidates,
            colour=colour,
        )
    firm = best.confidence >= policy.weight("standing", "settled")
    without_priors = _candidates([e for e in counted if not e.prior])
    rests_on_prior = (
        not without_priors
        or without_priors[0].reading != best.reading
        or without_priors[0].confidence < policy.weight("standing", "settled")
    )
    doubted = any(
        e.set_aside
        and e.strength >= strong
        and not is_data(best.reading)
        and not agree(e.claim, best.reading)
        for e in evidence
    )
    settled = firm and not rests_on_prior and not doubted
    return Judgement(
        reading=best.reading,
        standing="settled" if settled else "likely",
        confidence=best.confidence,
        candidates=candidates,
        colour=colour,
    )


def _chance_of_colour(evidence: Sequence[Evidence]) -> float:
    """Return the probability that it is colour, whatever the space."""
    odds = sum(
        (-e.strength if is_data(e.claim) else e.strength) for e in evidence if not e.among_colours
    )
    return 1.0 / (1.0 + math.exp(-max(-700.0, min(700.0, odds))))


def _without_priors_denied(evidence: Sequence[Evidence], strong: float) -> list[Evidence]:
    """Leave out priors that a slot, or a strong statement of one space, denies.

    A prior is how often pictures that say nothing are so; this one, or its place, says something.
    """
    stated = [
        e
        for e in evidence
        if (e.strength >= strong or e.witness == "house") and not e.prior and _states(e)
    ]
    return [e for e in evidence if not e.prior or all(_allows(s, e) for s in stated)]


def _states(evidence: Evidence) -> bool:
    """Whether it names a space, or as a slot or house says that it is colour, or data."""
    names_a_space = evidence.claim in SPACES or evidence.claim == UNKNOWN
    return names_a_space or (
        evidence.witness in ("slot", "house") and evidence.claim in (COLOUR, DATA)
    )


def _allows(stated: Evidence, prior: Evidence) -> bool:
    """Whether a statement leaves room for a prior; which space it is says nothing about data."""
    return (
        agree(prior.claim, stated.claim)
        or (stated.among_colours and is_data(prior.claim))
        or (prior.among_colours and is_data(stated.claim))
    )


def _candidates(evidence: Sequence[Evidence]) -> tuple[Candidate, ...]:
    """Return the readings with their probabilities, most probable first."""
    named = [
        reading  # of a claim such as srgb_rec709 both the scene's and the display's space
        for e in evidence
        if not is_data(e.claim) and len(readings_of(e.claim)) <= 2
        for reading in readings_of(e.claim)
    ]
    spaces = tuple(dict.fromkeys((*RIVALS, *named)))
    weights = {
        space: sum(
            e.strength for e in evidence if not is_data(e.claim) and space in readings_of(e.claim)
        )
        for space in spaces
    }
    colour = _chance_of_colour(evidence)
    top = max(weights.values())
    total = sum(math.exp(weight - top) for weight in weights.values())
    found = [
        Candidate(space, colour * math.exp(weight - top) / total)
        for space, weight in weights.items()
    ]
    found.append(Candidate(DATA, 1.0 - colour))
    found.sort(key=lambda c: (-c.confidence, c.reading))
    return tuple(c for c in found if c.confidence >= _SHOWN_FROM)


def disputes(evidence: Sequence[Evidence], strong: float) -> tuple[tuple[Evidence, Evidence], ...]:
    """Return the pairs of strong evidence, no priors, that cannot both be true.

    Parameters
    ----------
    evidence
        Everything said; what was set aside does not count.
    strong
        Strength from which evidence takes part.
    """
    firm = [e for e in evidence if e.strength >= strong and not e.prior and not e.set_aside]
    return tuple(
        (one, other)
        for at, one in enumerate(firm)
        for other in firm[at + 1 :]
        if not agree(one.claim, other.claim)
        and not (one.among_colours and is_data(other.claim))
        and not (other.among_colours and is_data(one.claim))
    )


def outvoted(evidence: Sequence[Evidence], strong: float) -> tuple[Evidence, ...]:
    """Return what together is strong against a header that says colour, the header's word first.

    No sum of softer words outvotes what a file firmly states of itself: it is a question then.
    Empty where the header says no such thing, or a slot or the scene firmly says colour too.

    Parameters
    ----------
    evidence
        Everything said; what was set aside does not count.
    strong
        Strength that the softer ones have to reach.
    """
    heard = [e for e in evidence if not e.prior and not e.set_aside]
    colour = [
        e for e in heard if e.strength >= strong and not is_data(e.claim) and not e.among_colours
    ]
    against = [e for e in heard if is_data(e.claim) and e.witness != "header"]
    if not colour or any(e.witness != "header" for e in colour):
        return ()
    together = sum(e.strength for e in against)
    return (colour[0], *against) if together >= strong else ()
