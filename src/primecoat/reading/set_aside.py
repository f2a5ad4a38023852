"""What does not count for a use, by rule and not by weight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from primecoat.colour.ids import SPACES
from primecoat.inventory import SceneUse
from primecoat.reading.evidence import Evidence, agree, is_data
from primecoat.reading.policy import policy

_OUTRANKED = "a data slot outranks it"
_IGNORED = "says that it must be ignored"
_DENIED = "stronger evidence denies it"
_TOLD = "the house's token says it already"
_SPOKEN_FOR = "the house's conventions say what such a name means"


def set_aside(evidence: Sequence[Evidence], use: SceneUse | None) -> tuple[Evidence, ...]:
    """Mark what does not count for this use: a data slot, or a standard, outranks it.

    Where the slot is left unheard, it and its standard outrank nothing. A standard that never looks
    at headers has those ignored that contradict what the scene declares; where it declares nothing,
    or the same, a header tells what the picture is, whoever looks at it. A house's conventions
    give way to anything strong against them; where they count, loose words of the same name do
    not count beside them. Marks of an earlier call are taken back first; those that a witness
    itself made stay.
    """
    heard = [replace(e, set_aside="") if _ours(e.set_aside) else e for e in evidence]
    slots = [e for e in heard if e.witness == "slot"]
    wants_data = any(is_data(e.claim) for e in slots)
    fixed = bool(slots) and use is not None and use.use.fixed is not None
    declared = [e.claim for e in heard if e.witness == "declaration"]
    result = []
    for item in heard:
        why = ""
        if wants_data and item.witness in ("header", "house", "name") and not is_data(item.claim):
            why = _OUTRANKED
        elif use is not None and (
            (fixed and item.witness in ("header", "declaration"))
            or (
                use.use.ignores_header
                and item.witness == "header"
                and not all(agree(item.claim, claim) for claim in declared)
            )
        ):
            why = f"{use.use.standard} {_IGNORED}"
        result.append(replace(item, set_aside=why) if why else item)
    return _beside_the_house(result)


def _beside_the_house(evidence: Sequence[Evidence]) -> tuple[Evidence, ...]:
    """Mark words of a house that something strong denies, or that say the same of one name again.

    Beside words of the house that count, so are loose words of the name.
    """
    if all(e.witness != "house" or e.set_aside for e in evidence):
        return tuple(evidence)
    strong = policy().weight("standing", "strong")
    firm = [e for e in evidence if e.strength >= strong and not e.prior and not e.set_aside]
    result = [
        replace(e, set_aside=_DENIED)
        if e.witness == "house" and not e.set_aside and any(_denies(f, e) for f in firm)
        else e
        for e in evidence
    ]
    words: list[Evidence] = []
    for at, item in enumerate(result):
        if item.witness != "house" or item.set_aside:
            continue
        if any(agree(told.claim, item.claim) for told in words):
            result[at] = replace(item, set_aside=_TOLD)
        else:
            words.append(item)
    names_space = any(e.claim in SPACES for e in words)
    return tuple(
        replace(e, set_aside=_SPOKEN_FOR)
        if e.witness == "name"
        and e.strength < strong
        and not e.set_aside
        and words
        and (names_space or not e.among_colours)
        else e
        for e in result
    )


def _denies(firm: Evidence, word: Evidence) -> bool:
    """Whether strong evidence rules a house's word out; a space says nothing about data."""
    return not agree(firm.claim, word.claim) and not (firm.among_colours and is_data(word.claim))


def _ours(mark: str) -> bool:
    return mark in (_OUTRANKED, _DENIED, _TOLD, _SPOKEN_FOR) or mark.endswith(_IGNORED)
