"""How a place in a stage is named: by an instance where prims are shared, with its variant.

``/World/Cup{glaze=blue}Looks/tex.inputs:file`` is the path syntax of OpenUSD for a value that
stands in the variant ``blue``; such a path is where a change has to go.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from primecoat.scenes.usd import door

Selections = tuple[tuple[str, str], ...]

Choice = tuple[Any, str, str]
"""Path of a prim, name of a variant set, name of a variant."""


class Places:
    """Names places of one stage.

    Parameters
    ----------
    guard
        Called with the prims that selecting a variant brings, before any value is asked for.
    """

    def __init__(self, stage: Any, guard: Callable[[Iterable[Any]], None]) -> None:
        self._stage = stage
        self.guard = guard
        self.choices: tuple[Choice, ...] = ()
        """Variants that are selected now instead of the scene's own."""
        self._homes: dict[Any, Any] = {}
        self._prototypes = bool(stage.GetPrototypes())
        self._sets: dict[Any, Selections] = {}

    def know_variants(self, prim: Any) -> Selections:
        """Remember the variant sets of a prim, with the selected variant of each."""
        sets = prim.GetVariantSets()
        found = tuple((name, sets.GetVariantSelection(name)) for name in sets.GetNames())
        self._sets[self.shown(prim.GetPath())] = found
        return found

    def instances(self, prototype: Any) -> list[Any]:
        """Return the instances of a prototype in order of their places, outermost first."""
        found = prototype.GetInstances()
        return sorted(found, key=lambda i: (i.IsInPrototype(), str(i.GetPath())))

    def shown(self, path: Any) -> Any:
        """Return a path of the scene for one in a prototype; other paths as they are."""
        if not self._prototypes or not str(path).startswith("/__Prototype_"):
            return path
        root = path.GetPrimPath().GetPrefixes()[0]
        home = self._homes.get(root)
        if home is None:
            first = self.instances(self._stage.GetPrimAtPath(root))[0]
            home = self.shown(first.GetPath())
            self._homes[root] = home
        return path.ReplacePrefix(root, home)

    def forget_prototypes(self) -> None:
        """Drop the homes of prototypes: the stage was composed anew."""
        self._homes.clear()
        self._prototypes = bool(self._stage.GetPrototypes())

    def of(self, attribute: Any, *, connections: bool = False) -> str:
        """Return the place of an attribute's strongest opinion.

        Parameters
        ----------
        connections
            Whether what it is connected to is meant, not its value.
        """
        path = self.shown(attribute.GetPath())
        if not self._sets:
            return str(path)
        owners = [p for p in path.GetPrimPath().GetPrefixes() if p in self._sets]
        if not owners:
            return str(path)
        spec = self._ruling_spec(attribute, connections)
        if spec is None:
            return str(path)
        selections = set(_selections(spec.path))
        chosen = {choice[1:] for choice in self.choices}
        if chosen - selections:
            selections |= chosen & _led_through(attribute.GetPrim(), spec)
        if not selections:
            return str(path)
        marked = door.Sdf.Path.absoluteRootPath
        for prefix in path.GetPrimPath().GetPrefixes():
            marked = marked.AppendChild(prefix.name)
            for name, variant in self._sets.get(prefix, ()):
                if (name, variant) in selections:
                    marked = marked.AppendVariantSelection(name, variant)
        return str(marked.AppendProperty(path.name))

    def in_choices(self, place: str) -> str:
        """Return a place with all variants added that are selected now and that it lies below.

        For what stands plainly, or in one variant, but means something else in another.
        """
        path = door.Sdf.Path(place)
        own = _selections(path)
        marked = door.Sdf.Path.absoluteRootPath
        for prefix in path.StripAllVariantSelections().GetPrimPath().GetPrefixes():
            marked = marked.AppendChild(prefix.name)
            for name, variant in self._sets.get(prefix, ()):
                if (name, variant) in own or (prefix, name, variant) in self.choices:
                    marked = marked.AppendVariantSelection(name, variant)
        return str(marked.AppendProperty(path.name))

    def _ruling_spec(self, attribute: Any, connections: bool) -> Any:
        for spec in attribute.GetPropertyStack(door.Usd.TimeCode.Default()):
            keys = ("connectionPaths",) if connections else ("default", "timeSamples")
            if any(spec.HasInfo(key) for key in keys):
                return spec
        return None


def _led_through(prim: Any, spec: Any) -> set[tuple[str, str]]:
    """Return the variants that composition goes through on its way to a spec.

    A reference that a variant brings leads to a spec whose own path does not name the variant.
    """
    path = spec.path.GetPrimOrPrimVariantSelectionPath()
    found: set[tuple[str, str]] = set()
    waiting = [prim.GetPrimIndex().rootNode]
    while waiting:
        node = waiting.pop()
        waiting += node.children
        if node.path != path or spec.layer not in node.layerStack.layers:
            continue
        at = node
        while at:
            found |= set(_selections(at.path))
            at = at.parent
        break
    return found


def _selections(path: Any) -> list[tuple[str, str]]:
    """Return the variants that a path of a spec leads through."""
    found = []
    while path != door.Sdf.Path.absoluteRootPath and not path.isEmpty:
        if path.IsPrimVariantSelectionPath():
            found.append(tuple(path.GetVariantSelection()))
        path = path.GetParentPath()
    return found
