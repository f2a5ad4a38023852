"""Keep an edit from silencing variants.

An over is stronger than what any variant says. Where a variant has a value of its own, an edit of
the plain value must stand inside the other variants instead. The same holds for an edit inside a
variant of one set, where a variant of another set says something else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice, product
from typing import Any

from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd.lamps import PARTS, kelvin_of, lamp_samples, stands_plainly
from primecoat.scenes.usd.places import Choice, Places
from primecoat.scenes.usd.spaces import Rendering, Spaces
from primecoat.scenes.usd.targets import Target, is_meant
from primecoat.scenes.usd.variants import select

MOST_CONTEXTS = 256
"""Combinations that are tried to find one in which a hidden place rules."""

Aimed = tuple[Target, Edit]
Set = tuple[Any, str, str, tuple[str, ...]]
"""Path of a prim, name of a variant set of it, the selected variant, all variants."""


def spread(
    stage: Any, with_variants: Sequence[Any], places: Places, aimed: Sequence[Aimed]
) -> list[Aimed]:
    """Return edits such that each counts where it is meant to, and nowhere else.

    Raises
    ------
    RefusedError
        If a variant has a value of its own and no variant is selected.
    """
    if not with_variants:
        return list(aimed)
    result: list[Aimed] = []
    waiting = _grouped(aimed)
    while waiting:  # each round names one variant set more, so it ends
        choices = next(iter(waiting))
        moved = _spread_group(stage, places, choices, waiting.pop(choices), result)
        for key, items in _grouped(moved).items():
            waiting.setdefault(key, []).extend(items)
    return result


def _grouped(aimed: Sequence[Aimed]) -> dict[tuple[Choice, ...], list[Aimed]]:
    found: dict[tuple[Choice, ...], list[Aimed]] = {}
    for target, edit in aimed:
        found.setdefault((*target.choices, *target.beside), []).append((target, edit))
    return found


def _spread_group(
    stage: Any,
    places: Places,
    choices: tuple[Choice, ...],
    group: Sequence[Aimed],
    result: list[Aimed],
) -> list[Aimed]:
    """Add the edits that can stay to a result; return those to be looked at again."""
    with select(stage, choices, places):
        sets = _sets_above(stage, places, group)
        base = [_seen(stage, target, places) for target, _ in group] if sets else []
    left = list(range(len(group)))
    moved: list[Aimed] = []
    for at, state in enumerate(base):
        target, edit = group[at]
        if state is None and not target.beside:
            left.remove(at)
            moved.append((_where_meant(stage, places, target, sets), edit))
    for owner, name, selected, variants in sets:
        under = [
            at
            for at in left
            if group[at][0].path.HasPrefix(owner)
            and (owner, name) not in {choice[:2] for choice in group[at][0].choices}
        ]
        found: dict[int, dict[str, Any]] = {at: {} for at in under}
        for variant in variants if under else ():
            with select(stage, (*choices, (owner, name, variant)), places):
                for at in under:
                    found[at][variant] = _seen(stage, group[at][0], places)
        for at, states in found.items():
            own = {v for v, s in states.items() if s is not None and s != base[at]}
            if not own:
                continue
            left.remove(at)
            target, edit = group[at]
            if not selected or selected in own:
                raise RefusedError(
                    f"{edit.place} has a value of its own in a variant of {owner}, and the "
                    "plain value cannot be changed without silencing that.",
                    f"Select a variant of {name} in the scene, or change the variants only.",
                )
            moved += [
                (_inside(target, (owner, name, variant)), edit)
                for variant in variants
                if variant not in own and states[variant] is not None
            ]
    result += [group[at] for at in left]
    return moved


def _where_meant(stage: Any, places: Places, target: Target, sets: Sequence[Set]) -> Target:
    """Return a target with the variants beside its own in which its place is what rules.

    Raises
    ------
    RefusedError
        If none are found.
    """
    free = [s for s in sets if s[:2] not in {choice[:2] for choice in target.choices}]
    every = product(*([(owner, name, v) for v in variants] for owner, name, _, variants in free))
    for beside in islice(every, MOST_CONTEXTS):
        with select(stage, (*target.choices, *beside), places):
            if _seen(stage, target, places) is not None:
                return replace(target, beside=tuple(beside))
    raise RefusedError(
        f"What stands at {target.path} in a variant is hidden by other variants, and no "
        "combination was found that shows it.",
        "Change this place in the layer that holds it.",
    )


def _inside(target: Target, choice: Choice) -> Target:
    """Return a target inside one variant more."""
    beside = tuple(other for other in target.beside if other[:2] != choice[:2])
    return replace(target, choices=_with(target, choice), beside=beside)


def _seen(stage: Any, target: Target, places: Places) -> Any:
    """Return all that an edit would hide; None if it would hide nothing.

    A plain edit hides what any variant says. One inside a variant hides what rules in the same
    one, also where that lies in a variant of another set besides. It does not reach what rules by
    another set's variant alone: which of the two sets is stronger stays as it was.
    """
    attribute = stage.GetAttributeAtPath(target.path)
    if not target.choices:
        return _state(attribute, target, places) if attribute else "nothing"
    return _state(attribute, target, places) if is_meant(attribute, target, places) else None


def _sets_above(stage: Any, places: Places, group: Sequence[Aimed]) -> list[Set]:
    """Return the variant sets at and above some targets."""
    found: dict[tuple[Any, str], Set] = {}
    prefixes = {p: None for target, _ in group for p in target.path.GetPrimPath().GetPrefixes()}
    for path in prefixes:
        prim = stage.GetPrimAtPath(path)
        if not prim or not prim.HasVariantSets():
            continue
        for name, selected in places.know_variants(prim):
            variants = tuple(prim.GetVariantSets().GetVariantSet(name).GetVariantNames())
            found[path, name] = (path, name, selected, variants)
    return list(found.values())


def _state(attribute: Any, target: Target, places: Places) -> Any:
    """Return all that decides what an attribute means."""
    times = attribute.GetTimeSamples() if attribute.GetNumTimeSamples() else []
    sources = [str(path) for path in attribute.GetConnections()]
    values = [str(attribute.Get()), *(str(attribute.Get(time)) for time in times)]
    if attribute.GetRoleName() != "Color" and target.path.name not in PARTS:
        return values, sources, str(attribute.GetColorSpace())
    space = Spaces(attribute.GetStage(), Rendering(name=None), places).of(attribute, light=False)
    lamp: tuple[Any, ...] = ()
    prim = attribute.GetPrim()
    if target.path.name in PARTS and kelvin_of(prim) is not None and not stands_plainly(prim):
        lamp = lamp_samples(prim)
    return values, sources, space.declared, space.named, lamp


def _with(target: Target, choice: Choice) -> tuple[Choice, ...]:
    return tuple(sorted((*target.choices, choice), key=lambda c: c[0].pathElementCount))
