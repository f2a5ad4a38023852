"""Variants that are not selected: they are selected in turn, on the session layer only.

Each variant is tried with the others as the scene selects them. Sets that have to do with one
another are tried together too, in every combination: where a variant of one brings, defines or
leads to what a variant of another speaks of. See ``interplay.py``.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from primecoat.scenes.usd import door
from primecoat.scenes.usd.interplay import Interplay, combinations_of
from primecoat.scenes.usd.places import Choice, Places

DEEPEST = 6
"""Variants inside variants are followed this far."""

MOST = 2000
"""Combinations of two and more variants that are tried in one stage."""

Choices = tuple[Choice, ...]
Sets = dict[str, tuple[str, tuple[str, ...]]]
"""Name of a variant set: the selected variant, all variants."""


@dataclass(slots=True)
class Tried:
    """How far the combinations of a stage have been tried.

    Parameters
    ----------
    most
        How many may be tried.
    combinations
        How many have been.
    cut
        Prims whose variants were not tried in all combinations that matter.
    """

    most: int = MOST
    combinations: int = 0
    cut: dict[Any, None] = field(default_factory=dict)


def each_variant(
    stage: Any, prims: Sequence[Any], places: Places, tried: Tried | None = None
) -> Iterator[list[Any]]:
    """Yield, for every variant not selected, the prims at and below its owner with it selected.

    While a yielded list is in use, the variant is selected and ``places`` knows it.

    Parameters
    ----------
    prims
        The prims with variant sets, in the stage as it is.
    tried
        Learns how far the combinations were tried.
    """
    search = _Search(stage, places, tried or Tried())
    for prim in prims:
        search.enter((), prim)
    while search.waiting:
        yield from search.owner(*search.waiting.popleft())


class _Search:
    """The owners of variant sets still to be looked at, each with variants selected above it."""

    def __init__(self, stage: Any, places: Places, tried: Tried) -> None:
        self.stage = stage
        self.places = places
        self.tried = tried
        self.waiting: deque[tuple[Choices, Any, Sets]] = deque()
        self._seen: set[object] = set()

    def enter(self, outer: Choices, prim: Any) -> None:
        """Add an owner, unless it was met before, composed of the same opinions."""
        path = self.places.shown(prim.GetPath())
        selected = self.places.know_variants(prim)
        if not _speaks(prim, self.places):
            return
        key = (path, _opinions(prim), selected, _space_above(prim))
        if key in self._seen:
            return
        self._seen.add(key)
        self.waiting.append((outer, path, _sets_of(prim)))

    def owner(self, outer: Choices, path: Any, sets: Sets) -> Iterator[list[Any]]:
        """Yield what the variants of one prim bring, alone and together."""
        interplay = None
        if sum(len(variants) > 1 for _, variants in sets.values()) > 1:
            with select(self.stage, outer, self.places):
                interplay = Interplay(self.stage.GetPrimAtPath(path), frozenset(sets))
        todo: deque[Choices] = deque(
            ((path, name, variant),)
            for name, (selected, variants) in sets.items()
            for variant in variants
            if variant != selected
        )
        states: set[object] = {_state(sets)}
        yield from self._all(outer, path, sets, todo, interplay, states)
        if interplay is None:
            return
        known = {name: variants for name, (_, variants) in sets.items()}
        room = self.tried.most - self.tried.combinations
        wanted, whole = combinations_of(interplay.groups(), interplay.pairs(), known, room)
        if not whole:
            self.tried.cut[path] = None
        todo.extend(tuple((path, name, variant) for name, variant in one) for one in wanted)
        yield from self._all(outer, path, sets, todo, None, states)

    def _all(
        self,
        outer: Choices,
        path: Any,
        sets: Sets,
        todo: deque[Choices],
        interplay: Interplay | None,
        states: set[object],
    ) -> Iterator[list[Any]]:
        while todo:
            own = todo.popleft()
            choices = (*outer, *own)
            together = len(choices) > 1
            if together and self.tried.combinations >= self.tried.most:
                self.tried.cut[path] = None
                continue
            with select(self.stage, choices, self.places):
                prim = self.stage.GetPrimAtPath(path)
                if not prim:
                    continue
                now = _sets_of(prim)
                if _state(now) in states:
                    continue
                states.add(_state(now))
                self.tried.combinations += together
                below = list(_at_and_below(prim))
                if interplay is not None:
                    interplay.learn(own[0][1], prim)
                deeper = self._inside(own, now, sets, path)
                inner = [p for p in below if p.HasVariantSets()]
                if len(choices) < DEEPEST:
                    todo.extend(deeper)
                    for further in inner:
                        if self.places.shown(further.GetPath()) != path:
                            self.enter(choices, further)
                elif deeper or len(inner) > 1:
                    self.tried.cut[path] = None
                yield below

    @staticmethod
    def _inside(own: Choices, now: Sets, sets: Sets, path: Any) -> Iterable[Choices]:
        """Return choices among the variants that a choice brought at the same prim."""
        chosen = {name for _, name, _ in own}
        return [
            (*own, (path, name, variant))
            for name, (selected, variants) in now.items()
            for variant in variants
            if name not in chosen
            and variant != selected
            and (name not in sets or variant not in sets[name][1])
        ]


def _sets_of(prim: Any) -> Sets:
    sets = prim.GetVariantSets()
    found = ((name, sets.GetVariantSet(name)) for name in sets.GetNames())
    return {n: (s.GetVariantSelection(), tuple(s.GetVariantNames())) for n, s in found}


def _state(sets: Sets) -> frozenset[tuple[str, str]]:
    return frozenset((name, selected) for name, (selected, _) in sets.items())


def _opinions(prim: Any) -> tuple[object, ...]:
    return tuple((s.layer.identifier, str(s.path)) for s in prim.GetPrimStack())


def _space_above(prim: Any) -> str:
    """Return the colour space that prims at or above one name for what is below."""
    while prim and not prim.IsPseudoRoot():
        if "ColorSpaceAPI" in prim.GetAppliedSchemas():
            return str(prim.GetAttribute("colorSpace:name").Get() or "")
        prim = prim.GetParent()
    return ""


def _speaks(prim: Any, places: Places) -> bool:
    """Whether a prim is the one that speaks for all instances of its prototype, or no instance."""
    if not prim.IsInstance():
        return True
    first = places.instances(prim.GetPrototype())[0]
    return bool(places.shown(first.GetPath()) == places.shown(prim.GetPath()))


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
        self._places.choices = tuple(self._choices)
        self._places.forget_prototypes()
        self._learn()
        for path, _, _ in self._choices:
            owner = self._stage.GetPrimAtPath(path)
            if owner:
                self._places.guard(_at_and_below(owner))

    def __exit__(self, *error: object) -> None:
        self._stage.GetSessionLayer().Clear()
        self._places.choices = ()
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
