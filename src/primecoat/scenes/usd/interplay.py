"""Which variant sets of one prim have to do with one another.

Two sets of a prim are independent if what they speak of differs: other prims, or other properties
of the prim itself. Then each variant can be tried alone. They belong together if both speak of one
prim (or of parts of one material), if one brings variants of the other, or if one says a colour
space that the other's values may stand below.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations, product
from typing import Any

from primecoat.scenes.usd import door
from primecoat.scenes.usd.lamps import PARTS

LARGEST = 256
"""Combinations of the variants of one prim that are all tried; above that, every pair."""

_Opinions = dict[Any, Any]
"""Prim specs by layer and path."""

_SPACE = "a colour space"
_LAMP = "the colour of a light"


class Interplay:
    """Learns, variant by variant, what each set of a prim speaks of.

    Parameters
    ----------
    prim
        The prim as it is without any other choice.
    names
        Its variant sets.
    """

    def __init__(self, prim: Any, names: frozenset[str]) -> None:
        self._names = names
        self._base = _opinions_below(prim)
        self._told: dict[str, set[object]] = {}

    def learn(self, name: str, prim: Any) -> None:
        """Look at the prim while a variant of one set is selected."""
        told = self._told.setdefault(name, set())
        now = _opinions_below(prim)
        for path in {*now, *self._base}:
            one, other = now.get(path, {}), self._base.get(path, {})
            changed = [*(s for k, s in one.items() if k not in other)]
            changed += [s for k, s in other.items() if k not in one]
            if not changed:
                continue
            at = prim.GetStage().GetPrimAtPath(path)
            if path == prim.GetPath():
                told |= {word for spec in changed for word in self._at_owner(spec)}
            elif any(_speaks(spec) for spec in changed) or not (at and at.IsDefined()):
                told.add(path)
                told |= _materials(at, prim.GetPath())
            if any("colorSpace:name" in spec.properties for spec in changed):
                told.add(_SPACE)

    def pairs(self) -> list[tuple[str, str]]:
        """Return the sets that belong together, two by two."""
        return [
            (one, other)
            for one, other in combinations(sorted(self._told), 2)
            if self._told[one] & (self._told[other] | {other})
            or one in self._told[other]
            or _SPACE in self._told[one] | self._told[other]
        ]

    def groups(self) -> list[tuple[str, ...]]:
        """Return the sets that belong together, all at once."""
        groups: list[set[str]] = []
        for pair in self.pairs():
            touched = [g for g in groups if g & set(pair)]
            groups = [g for g in groups if not g & set(pair)]
            groups.append(set(pair).union(*touched))
        return [tuple(sorted(group)) for group in groups]

    def _at_owner(self, spec: Any) -> Iterable[object]:
        """Return the properties and variant sets that an opinion on the prim itself speaks of."""
        for name in list(spec.properties.keys()):
            yield _LAMP if name in PARTS else ("property", name)
        yield from (name for name in list(spec.variantSets.keys()) if name in self._names)


def combinations_of(
    groups: Iterable[tuple[str, ...]],
    pairs: Iterable[tuple[str, str]],
    variants: Mapping[str, tuple[str, ...]],
    room: int,
) -> tuple[list[tuple[tuple[str, str], ...]], bool]:
    """Return the combinations to try, and whether they are all that matter.

    Parameters
    ----------
    groups, pairs
        Sets that belong together.
    variants
        Variants of each set.
    room
        How many may be tried.

    Examples
    --------
    >>> combinations_of([("a", "b")], [("a", "b")], {"a": ("1", "2"), "b": ("x",)}, 10)
    ([(('a', '1'), ('b', 'x')), (('a', '2'), ('b', 'x'))], True)
    """
    found: list[tuple[tuple[str, str], ...]] = []
    whole = True
    for group in groups:
        count = 1
        for name in group:
            count *= len(variants[name])
        if count <= min(LARGEST, room):
            found += [tuple(zip(group, chosen, strict=True)) for chosen in _every(group, variants)]
            continue
        whole = False
        for pair in pairs:
            if set(pair) <= set(group):
                found += [
                    tuple(zip(pair, chosen, strict=True)) for chosen in _every(pair, variants)
                ]
    return list(dict.fromkeys(found)), whole


def _every(names: tuple[str, ...], variants: Mapping[str, tuple[str, ...]]) -> Any:
    return product(*(variants[name] for name in names))


def _opinions_below(prim: Any) -> dict[Any, _Opinions]:
    every = door.Usd.TraverseInstanceProxies(door.Usd.PrimAllPrimsPredicate)
    return {
        at.GetPath(): {(s.layer.identifier, str(s.path)): s for s in at.GetPrimStack()}
        for at in door.Usd.PrimRange(prim, every)
    }


def _speaks(spec: Any) -> bool:
    """Whether an opinion says anything but that there is a prim."""
    return (
        bool(spec.properties)
        or spec.specifier != door.Sdf.SpecifierOver
        or bool(set(spec.ListInfoKeys()) - {"specifier"})
    )


def _materials(prim: Any, owner: Any) -> set[object]:
    """Return the materials that a prim is part of: their inputs may lead to it."""
    found: set[object] = set()
    while prim and prim.GetPath() != owner:
        if prim.GetTypeName() == "Material":
            found.add(prim.GetPath())
        prim = prim.GetParent()
    return found
