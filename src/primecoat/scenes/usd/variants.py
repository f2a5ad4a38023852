"""Variants that are not selected: each is selected in turn, on the session layer only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from primecoat.scenes.usd import door
from primecoat.scenes.usd.places import Places

DEEPEST = 4
"""Variants inside variants are followed this far."""

Choice = tuple[Any, str, str]
"""Path of a prim, name of a variant set, name of a variant."""


def unselected(prims: Sequence[Any], places: Places) -> list[Choice]:
    """Return the variants of some prims that are not selected; places learn the selected ones."""
    found = []
    for prim in prims:
        path = places.shown(prim.GetPath())
        selected = dict(places.know_variants(prim))
        if not _speaks(prim, places):
            continue
        sets = prim.GetVariantSets()
        for name in sets.GetNames():
            for variant in sets.GetVariantSet(name).GetVariantNames():
                if variant != selected[name]:
                    found.append((path, name, variant))
    return found


def _speaks(prim: Any, places: Places) -> bool:
    """Whether a prim is the one that speaks for all instances of its prototype, or no instance."""
    if not prim.IsInstance():
        return True
    first = places.instances(prim.GetPrototype())[0]
    return bool(places.shown(first.GetPath()) == places.shown(prim.GetPath()))


def each_variant(stage: Any, prims: Sequence[Any], places: Places) -> Iterator[list[Any]]:
    """Yield, for every variant not selected, the prims at and below its owner with it selected.

    While a yielded list is in use, the variant is selected and ``places`` knows it.
    """
    waiting: list[tuple[Choice, ...]] = [(choice,) for choice in unselected(prims, places)]
    done: set[tuple[Choice, ...]] = set()
    while waiting:
        choices = waiting.pop(0)
        if choices in done:
            continue
        done.add(choices)
        with select(stage, choices, places):
            owner = stage.GetPrimAtPath(choices[-1][0])
            if not owner:
                continue
            below = list(_at_and_below(owner))
            inner = unselected([p for p in below if p.HasVariantSets()], places)
            yield below
            if len(choices) < DEEPEST:
                known = {choice for done_choices in done for choice in done_choices}
                known |= {choices_waiting[-1] for choices_waiting in waiting}
                waiting += [
                    (*choices, c) for c in inner if c not in known and c[:2] != choices[-1][:2]
                ]


def _at_and_below(prim: Any) -> Iterator[Any]:
    every = door.Usd.TraverseInstanceProxies(door.Usd.PrimDefaultPredicate)
    return iter(door.Usd.PrimRange(prim, every))


class select:  # noqa: N801 - it reads as a verb in a with statement
    """Select variants on the session layer for the time of a block.

    Instances above are made editable for that time.
    """

    def __init__(self, stage: Any, choices: Sequence[Choice], places: Places) -> None:
        self._stage = stage
        self._choices = choices
        self._places = places

    def __enter__(self) -> None:
        session = self._stage.GetSessionLayer()
        for path, name, variant in self._choices:
            self._free(path, session)
            spec = door.Sdf.CreatePrimInLayer(session, path)
            spec.variantSelections[name] = variant
        self._places.forget_prototypes()
        self._learn()
        for path, _, _ in self._choices:
            owner = self._stage.GetPrimAtPath(path)
            if owner:
                self._places.guard(_at_and_below(owner))

    def __exit__(self, *error: object) -> None:
        self._stage.GetSessionLayer().Clear()
        self._places.forget_prototypes()
        self._learn()

    def _learn(self) -> None:
        for path, _, _ in self._choices:
            prim = self._stage.GetPrimAtPath(path)
            if prim:
                self._places.know_variants(prim)

    def _free(self, path: Any, session: Any) -> None:
        """Make what lies below instances above a prim editable."""
        for prefix in path.GetPrefixes()[:-1]:
            prim = self._stage.GetPrimAtPath(prefix)
            if prim and prim.IsInstance():
                door.Sdf.CreatePrimInLayer(session, prefix).SetInfo("instanceable", False)
