"""Where an opinion must be written so that it counts: below instances, and inside variants.

OpenUSD ignores overs below an instance (they would make its copies differ). What belongs to all
instances of one prototype is written on one over at the root, which all of them inherit: their
arcs stay alike, and they go on sharing one prototype. An inherited opinion is stronger than those
of variants, references and payloads.
"""

from __future__ import annotations

from typing import Any

from primecoat.scenes.usd import door
from primecoat.scenes.usd.places import Choice, Places
from primecoat.scenes.usd.targets import marked

SHARED = "_primed_{}"
"""Name of the over for the instances of a prototype."""


class Overs:
    """Makes prim specs in a layer above a stage.

    Parameters
    ----------
    stage
        The stage as it is without the layer.
    layer
        The layer to write in.
    """

    def __init__(self, stage: Any, layer: Any, places: Places) -> None:
        self._stage = stage
        self._layer = layer
        self._places = places
        self._shared: dict[Any, Any] = {}
        self._below = [
            spec for spec in stage.GetLayerStack(includeSessionLayers=False) if spec is not layer
        ]

    def prepare(self, path: Any) -> None:
        """Look at the instances on the way to a prim, before any variant is selected for it."""
        self._located(path, ())

    def spec(self, path: Any, choices: tuple[Choice, ...]) -> Any:
        """Return the prim spec that holds opinions on a prim.

        Parameters
        ----------
        path
            The prim, without variants.
        choices
            Variants that the opinion belongs to.
        """
        return self._made(self._located(path, choices))

    def _located(self, path: Any, choices: tuple[Choice, ...]) -> Any:
        """Return where opinions on a prim stand in the layer: below instances, in a shared over."""
        result = door.Sdf.Path.absoluteRootPath
        prefixes = path.GetPrefixes()
        for prefix in prefixes:
            result = result.AppendChild(prefix.name)
            if prefix != path or any(owner == prefix for owner, _, _ in choices):
                shared = self._over_of(prefix)
                result = shared if shared is not None else result
            for owner, name, variant in choices:
                if owner == prefix:
                    result = result.AppendVariantSelection(name, variant)
        return result

    def _over_of(self, path: Any) -> Any:
        """Return the shared over of an instance; None for other prims."""
        if path in self._shared:
            return self._shared[path]
        prim = self._stage.GetPrimAtPath(path)
        prototype = prim.GetPrototype() if prim and prim.IsInstance() else None
        if not prototype:
            return None
        name = self._free_name()
        shared = door.Sdf.Path(f"/{name}")
        instances = [self._places.shown(i.GetPath()) for i in self._places.instances(prototype)]
        for instance in [path, *instances]:
            self._shared[instance] = shared
        door.Sdf.CreatePrimInLayer(self._layer, shared)
        for instance in dict.fromkeys(instances):
            spec = self._made(self._located(instance, ()))
            spec.inheritPathList.Prepend(shared)
        return shared

    def _free_name(self) -> str:
        number = 1
        while self._layer.GetPrimAtPath(f"/{SHARED.format(number)}") or self._stage.GetPrimAtPath(
            f"/{SHARED.format(number)}"
        ):
            number += 1
        return SHARED.format(number)

    def _made(self, path: Any) -> Any:
        found = self._layer.GetPrimAtPath(path)
        if found:
            return found
        spec = door.Sdf.CreatePrimInLayer(self._layer, path)
        at = path
        while not at.isEmpty and at != door.Sdf.Path.absoluteRootPath:
            if at.IsPrimVariantSelectionPath():
                self._leave_known_sets(at)
            at = at.GetParentPath()
        return spec

    def _leave_known_sets(self, path: Any) -> None:
        """Name no variant set that the layers below name at the same place: order is strength."""
        name, _ = path.GetVariantSelection()
        owner = path.GetParentPath()
        for layer in self._below:
            spec = layer.GetPrimAtPath(owner)
            if spec and name in spec.variantSets:
                ours = self._layer.GetPrimAtPath(owner)
                ours.variantSetNameList.RemoveItemEdits(name)
                return


class OwnSpecs:
    """Finds prim specs in a copy of the stage's own root layer, to change them in place."""

    def __init__(self, layer: Any) -> None:
        self._layer = layer

    def prepare(self, path: Any) -> None:
        """Nothing has to be looked at beforehand."""

    def spec(self, path: Any, choices: tuple[Choice, ...]) -> Any:
        """Return the prim spec at a place; None if this layer has none there."""
        return self._layer.GetPrimAtPath(marked(path, choices))
