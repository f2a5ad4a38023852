"""What is said of a card that was read, in words that terminal and page share."""

from __future__ import annotations

from primecoat.proof.card.candidates import words_of
from primecoat.proof.card.model import CardReading, InputReading


def sure_words(confidence: float) -> str:
    """Return a confidence; nothing a model says is surer than its model.

    Examples
    --------
    >>> sure_words(0.9981), sure_words(1.0)
    ('99.8%', '> 99.9%')
    """
    return f"{confidence:.1%}" if confidence < 0.999 else "> 99.9%"


def read_words(one: InputReading) -> str:
    """Return how an input was read, and what it was made as where that is another thing."""
    made = words_of(one.made_as)
    if not one.answers:
        return f"unknown: nothing tried explains it; made as {made}"
    if one.standing == "ambiguous":
        told = [answer for answer in one.answers if answer.confidence > 0.01]
        return " or ".join(f"{words_of(a.reading)} ({a.confidence:.0%})" for a in told)
    best = one.answers[0]
    name = words_of(best.reading)
    if one.as_made or not one.seen_at_all:
        return name
    same = ", ".join(words_of(other) for other in best.same)
    return f"{name}{f' (here the same as {same})' if same else ''}, made as {made}"


def working_words(found: CardReading) -> str:
    """Return the working space, or all that are left."""
    if found.working_standing in ("settled", "likely"):
        return found.working[0].reading
    return " or ".join(f"{a.reading} ({a.confidence:.0%})" for a in found.working) or "unknown"


def view_words(found: CardReading) -> tuple[str, ...]:
    """Return what is known of the view, best first; then its other names."""
    if found.view is None:
        return ("unknown: nothing tried explains the grey wedge",)
    others = [f"{view} on {display}" for display, view in found.view.names[1:]]
    return (
        f"{found.view.words} ({sure_words(found.view_confidence)})",
        *(f"or {choice.words} ({sure_words(share)})" for choice, share in found.views[1:]),
        *((f"the same: {'; '.join(others)}",) if others else ()),
    )


def exposure_words(found: CardReading) -> str:
    """Return the exposure; empty where it is not known."""
    if found.stops is None:
        return ""
    return f"{found.stops:+.2f} stops from the card as it is written"
