"""What does not count for a use, by rule and not by weight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from primecoat.inventory import SceneUse
from primecoat.reading.evidence import Evidence, is_data

_OUTRANKED = "a data slot outranks it"
_IGNORED = "says that it must be ignored"


def set_aside(evidence: Sequence[Evidence], use: SceneUse | None) -> tuple[Evidence, ...]:
    """Mark what does not count for this use: a data slot, or a standard, outranks it.

    Where the slot is left unheard, it and its standard outrank nothing. Marks of an earlier call
    are taken back first; those that a witness itself made stay.
    """
    heard = [replace(e, set_aside="") if _ours(e.set_aside) else e for e in evidence]
    slots = [e for e in heard if e.witness == "slot"]
    wants_data = any(is_data(e.claim) for e in slots)
    fixed = bool(slots) and use is not None and use.use.fixed is not None
    ignored = fixed or (bool(slots) and use is not None and use.use.ignores_header)
    result = []
    for item in heard:
        why = ""
        if wants_data and item.witness in ("header", "name") and not is_data(item.claim):
            why = _OUTRANKED
        elif use is not None and (
            (ignored and item.witness == "header") or (fixed and item.witness == "declaration")
        ):
            why = f"{use.use.standard} {_IGNORED}"
        result.append(replace(item, set_aside=why) if why else item)
    return tuple(result)


def _ours(mark: str) -> bool:
    return mark == _OUTRANKED or mark.endswith(_IGNORED)
