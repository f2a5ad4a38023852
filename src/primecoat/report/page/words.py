"""How numbers and closed words are put to a reader."""

from __future__ import annotations

from typing import get_args

from primecoat.findings import Severity
from primecoat.reading.judgement import Judgement, Standing
from primecoat.report.page.markup import Markup, tag

STANDINGS: dict[Standing, str] = {
    "settled": "firm enough to act on",
    "overruled": "a person said so",
    "likely": "the best answer, to be confirmed by you",
    "unknown": "nothing says it",
    "conflicting": "strong evidence or two uses disagree",
}
"""Every standing with its meaning, firmest first."""

SEVERITIES: tuple[Severity, ...] = get_args(Severity)
"""Worst first."""

_CONFIDENCE = (
    (0.99, "As good as certain"),
    (0.95, "Very probable"),
    (0.8, "Probable"),
    (0.5, "More likely than not"),
    (0.0, "Doubtful"),
)


def count(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun.

    Examples
    --------
    >>> count(1, "picture"), count(2, "picture"), count(0, "entry", "entries")
    ('1 picture', '2 pictures', '0 entries')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def percent(share: float) -> str:
    """Return a probability as a percentage that never rounds to certainty.

    Examples
    --------
    >>> percent(0.9986), percent(0.99999), percent(0.0667)
    ('99.9 %', 'over 99.9 %', '6.7 %')
    """
    if share > 0.9995:
        return "over 99.9 %"
    return f"{100 * share:.1f} %"


_IS_COLOUR = 0.8
"""Probability from which a picture is called colour, as of a likely reading."""


def confidence(judgement: Judgement) -> str:
    """Return how sure a judgement is, in words and as a number."""
    if judgement.standing == "overruled":
        return "A person’s word, 100 %"
    rivals = " or ".join(c.reading for c in judgement.candidates[:2])
    if judgement.standing == "conflicting":
        return f"No answer: {rivals}" if rivals else "No answer"
    if judgement.standing == "unknown":
        share = percent(judgement.confidence)
        if not rivals and judgement.colour is not None and judgement.colour >= _IS_COLOUR:
            return "No answer; colour, in a space that has no name here"
        return f"No answer; at best {rivals} ({share})" if rivals else "No answer, 0 %"
    word = next(word for least, word in _CONFIDENCE if judgement.confidence >= least)
    return f"{word}, {percent(judgement.confidence)}"


def mark(kind: str) -> Markup:
    """Return the small shape that goes with a standing or a severity; the word stands beside it."""
    use = tag("use", href=f"#mark-{kind}")
    return tag("svg", use, class_="mark", viewBox="0 0 12 12", aria_hidden="true")


def standing(word: Standing) -> Markup:
    """Return a standing by shape and word."""
    return tag("span", mark(word), word, class_=f"standing {word}", title=STANDINGS[word])


def numbers(values: tuple[float, ...]) -> str:
    """Return numbers of a colour.

    Examples
    --------
    >>> numbers((1.0, 0.5, 0.0123456))
    '1 0.5 0.01235'
    """
    return " ".join(f"{value:.4g}" for value in values)
