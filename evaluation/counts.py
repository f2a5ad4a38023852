"""Strengths of what names, siblings and normal maps say, beside what all others say."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from evaluation.judging import Stock
from primecoat.colour.ids import DATA
from primecoat.reading.evidence import COLOUR, Evidence
from primecoat.reading.judge import read_images

_ROUNDS = 100
_FARTHEST = 6.0

Case = tuple[float, bool]
"""Log odds that all other witnesses give to a claim, and whether it is true."""


def measured_strengths(stocks: Sequence[Stock]) -> str:
    """Return a table: what is said, how often it is true, and the strength that this bears out.

    The strength is that of :func:`added_strength`, so that what pixels and siblings both know is
    not counted twice. Slots are left unheard.
    """
    said: dict[str, list[Case]] = defaultdict(list)
    for stock in stocks:
        kinds = {stock.root.resolve() / c.path: c.kind for c in stock.cases if c.slot_is_right}
        heard = read_images(stock.inventory, {}, without=frozenset({"slot"}))
        for witness in ("name", "siblings", "pixels"):
            others = read_images(stock.inventory, {}, without=frozenset({"slot", witness}))
            for image, other in zip(heard, others, strict=True):
                files = [file.resolve() for file in image.record.files]
                kind = next((kinds[file] for file in files if file in kinds), None)
                found = [c.confidence for c in other.judgement.candidates if c.reading == DATA]
                data = found[0] if found else 0.0 if other.judgement.candidates else 0.5
                for item in image.evidence:
                    if (
                        kind is not None
                        and item.witness == witness
                        and item.claim in (COLOUR, DATA)
                        and (witness != "pixels" or item.content == "normal")
                    ):
                        chance = data if item.claim == DATA else 1.0 - data
                        true = kind == item.claim
                        said[_heading(item)].append((_log_odds(chance), true))
    lines = [f"{'said':52}{'true':>7}{'false':>7}{'strength':>10}"]
    for heading, cases in sorted(said.items()):
        right = sum(case[1] for case in cases)
        strength = added_strength(cases)
        lines.append(f"{heading:52}{right:>7}{len(cases) - right:>7}{strength:>10.2f}")
    return "\n".join(lines)


def added_strength(cases: Sequence[Case]) -> float:
    """Return the log likelihood ratio that a witness adds to what the others say.

    The strength ``s`` of greatest likelihood, where a claim with the log odds ``z`` of all others
    is true with the chance ``1 / (1 + exp(-z - s))``; half a true and half a false claim of even
    odds are added (Jeffreys' prior).

    Examples
    --------
    >>> round(added_strength([(0.0, True)] * 99 + [(0.0, False)]), 1)
    4.2
    """
    strength = 0.0
    for _ in range(_ROUNDS):
        slope, curvature = 0.0, 1e-9
        even = 1.0 / (1.0 + math.exp(-strength))
        slope += 0.5 - even
        curvature += even * (1.0 - even)
        for odds, true in cases:
            chance = 1.0 / (1.0 + math.exp(-odds - strength))
            slope += true - chance
            curvature += chance * (1.0 - chance)
        step = max(-1.0, min(1.0, slope / curvature))
        strength += step
        if abs(step) < 1e-6:
            break
    return strength


def _log_odds(chance: float) -> float:
    low = 1.0 / (1.0 + math.exp(_FARTHEST))
    held = max(low, min(1.0 - low, chance))
    return math.log(held / (1.0 - held))


def _heading(item: Evidence) -> str:
    """Return under which heading a piece of evidence is counted."""
    if item.witness == "pixels":
        channels = "two" if "two channels" in item.words else "three"
        return f"pixels: a normal map of {channels} channels ({item.claim})"
    end = "'" if item.witness == "name" else ","
    first = item.words.split(end)[0].split(" of ")[0].strip()
    return f"{item.witness}: {first} ({item.claim})"
