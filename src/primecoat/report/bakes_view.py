"""What bakes came to, for the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from primecoat.apply.bakes import BakedShare
from primecoat.bake.job import FailedBake
from primecoat.bake.picture import Baked
from primecoat.bake.stored_numbers import Tally
from primecoat.location import counted, printable
from primecoat.plan.plan import Plan

_COUNTED = {
    "not_finite": ("is no number and stays so", "are no numbers and stay so"),
    "beyond_half": ("is beyond 65504", "are beyond 65504"),
    "below": ("was below 0 and is stored as 0", "were below 0 and are stored as 0"),
    "above": ("was above 1 and is stored as 1", "were above 1 and are stored as 1"),
}
"""Words for what one value was, and several; the fields are those of the bake's tally."""


def bakes_view(plan: Plan, share: BakedShare) -> RenderableType:
    """Return what a share of a plan's bakes came to, with those that failed."""
    lines: list[RenderableType] = [
        Text(printable(f"bake    {plan.operations[number].target}{cost_words(stored.figures)}"))
        for number, stored in sorted(share.done.items())
    ]
    if share.failed:
        lines.append(failed_view(share.failed))
    return Group(*lines)


def failed_view(failed: Sequence[FailedBake]) -> RenderableType:
    """Return the pictures that could not be baked, a line each."""
    return Group(
        *(Text(printable(f"failed  {f.path}: {f.reason.rstrip('.')}. {f.remedy}")) for f in failed)
    )


def _plate_words(figures: Mapping[str, Any]) -> list[str]:
    """Return what a view that was turned round cannot show again."""
    if not figures.get("seen"):
        return []
    share = 100 * figures["unreachable"] / figures["seen"]
    return [
        f"{share:.1f} % of its pixels cannot be shown by the view"
        + (f" (worst: {figures['worst']})" if figures["unreachable"] else "")
        + f"; CIEDE2000 mean {figures['residual_mean']:.2f}, 95 % {figures['residual_p95']:.2f}"
    ]


def cost_words(figures: Mapping[str, Any]) -> str:
    """Return what a bake cost the picture, in words; empty if nothing is to be told.

    Examples
    --------
    >>> cost_words({"number": "half", "not_finite": 0, "above": 2})
    ': stored as half; 2 values were above 1 and are stored as 1'
    >>> cost_words({"number": "half", "not_finite": 0})
    ''
    >>> cost_words({"number": "uint8", "colours": 1000, "changed": 701, "greatest": 20})
    ': stored as uint8; 70.1 % of its colours change on the way back, by up to 20 of 255'
    """
    told = [
        f"{counted(figures[name], 'value')} {words[figures[name] != 1]}"
        for name, words in _COUNTED.items()
        if figures.get(name)
    ]
    cost = Baked(
        number=figures["number"], tally=Tally(**{k: v for k, v in figures.items() if k != "number"})
    ).cost
    told += [cost] if cost else []
    told += _plate_words(figures)
    return f": stored as {figures['number']}; {'; '.join(told)}" if told else ""
