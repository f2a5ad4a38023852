"""Keep an edit from silencing variants.

A plain over is stronger than what any variant says. Where some variant has a value of its own, an
edit of the plain value must stand inside the other variants instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.targets import Target
from primecoat.scenes.usd.variants import Choice, select

Aimed = tuple[Target, Edit]


def spread(
    stage: Any, with_variants: Sequence[Any], places: Places, aimed: Sequence[Aimed]
) -> list[Aimed]:
    """Return edits such that each counts where it is meant to, and nowhere else.

    Raises
    ------
    RefusedError
        If a variant has a value of its own and no variant is selected.
    """
    result = list(aimed)
    for prim in with_variants:
        owner = places.shown(prim.GetPath())
        plain = [
            (at, target)
            for at, (target, _) in enumerate(result)
            if target.path.HasPrefix(owner) and not any(c[0] == owner for c in target.choices)
        ]
        if not plain:
            continue
        for name, selected in places.know_variants(prim):
            variants = prim.GetVariantSets().GetVariantSet(name).GetVariantNames()
            apart = _apart(stage, plain, owner, name, variants, places)
            moved: list[Aimed] = []
            for at, (target, edit) in enumerate(result):
                own = apart.get(at, set())
                if not own:
                    moved.append((target, edit))
                    continue
                if not selected or selected in own:
                    raise RefusedError(
                        f"{edit.place} has a value of its own in a variant of {owner}, and the "
                        "plain value cannot be changed without silencing that.",
                        f"Select a variant of {name} in the scene, or change the variants only.",
                    )
                for variant in variants:
                    if variant not in own:
                        choice = (owner, name, variant)
                        moved.append((replace(target, choices=_with(target, choice)), edit))
            result = moved
            plain = [
                (at, target)
                for at, (target, _) in enumerate(result)
                if target.path.HasPrefix(owner) and not any(c[0] == owner for c in target.choices)
            ]
    return result


def _apart(
    stage: Any,
    plain: Sequence[tuple[int, Target]],
    owner: Any,
    name: str,
    variants: Sequence[str],
    places: Places,
) -> dict[int, set[str]]:
    """Return, for each edit, the variants in which its attribute says something else."""
    base = {at: _state(stage, target) for at, target in plain}
    found: dict[int, set[str]] = {}
    for variant in variants:
        with select(stage, ((owner, name, variant),), places):
            for at, target in plain:
                if _state(stage, target) != base[at]:
                    found.setdefault(at, set()).add(variant)
    return found


def _state(stage: Any, target: Target) -> Any:
    attribute = stage.GetAttributeAtPath(target.path)
    if not attribute:
        return None
    times = attribute.GetTimeSamples() if attribute.GetNumTimeSamples() else []
    sources = [str(path) for path in attribute.GetConnections()]
    values = [str(attribute.Get()), *(str(attribute.Get(time)) for time in times)]
    return values, sources, str(attribute.GetColorSpace())


def _with(target: Target, choice: Choice) -> tuple[Choice, ...]:
    return tuple(sorted((*target.choices, choice), key=lambda c: c[0].pathElementCount))
