"""Open a stage whose layers all lie in the allowed roots; what leads out is never opened.

The layers are walked by what they depend on (sublayers, references and payloads, in every variant)
before anything is composed. A reference or payload that leads out of the roots is muted. A sublayer
is taken off instead, in memory only: the library opens a muted one when its parent is put in place.
Value clips are opened when a value is asked for; one that leads out is taken off before that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from primecoat.errors import InputError
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.usd import door
from primecoat.scenes.usd.root_metadata import open_above
from primecoat.scenes.usd.walk import all_prims

Variables = Mapping[str, object]


@dataclass(slots=True)
class Opened:
    """A stage and what was met on the way to it.

    Parameters
    ----------
    stage
        The stage; its root is an empty layer above the file's own.
    root
        Layer of the file itself.
    layers
        All layers that were opened. Holding them keeps the library from dropping them.
    muted
        Identifiers of layers that were not opened.
    name
        The scene as shown to the user.
    roots
        Folders that may be opened, links resolved.
    problems
        Findings on layers that lead out of the roots or are missing.
    """

    stage: Any
    root: Any
    layers: tuple[Any, ...]
    muted: tuple[str, ...]
    name: str
    roots: tuple[Path, ...]
    problems: list[Finding] = field(default_factory=list)


def default_usd_roots(path: Path) -> tuple[Path, ...]:
    """Return where a stage may reach if nobody says: its folder and the parent of that."""
    folder = path.absolute().parent
    parent = folder.parent
    return (folder,) if parent == parent.parent else (folder, parent)


def open_confined(path: Path, name: str, roots: Sequence[Path] = ()) -> Opened:
    """Open a stage.

    Parameters
    ----------
    path
        The scene file.
    name
        Its path as shown to the user.
    roots
        Folders that may be opened, absolute; see :func:`default_usd_roots`.

    Raises
    ------
    InputError
        If the file is no USD.
    """
    if not path.is_file():
        raise InputError(f"Cannot read {name}: there is no such file.", "Check the name.")
    root = _layer(str(path.absolute()), name)
    walk = _LayerWalk(name, tuple(r.resolve() for r in (roots or default_usd_roots(path))))
    walk.visit(root, dict(root.expressionVariables))
    try:
        stage = open_above(root, walk.muted)
    except door.Tf.ErrorException as error:
        raise InputError(
            f"Cannot read {name}: {_first_line(error)}", "Mend the file, or export it again."
        ) from error
    opened = Opened(
        stage=stage,
        root=root,
        layers=tuple({layer.identifier: layer for layer in walk.opened.values()}.values()),
        muted=tuple(walk.muted),
        name=name,
        roots=walk.roots,
        problems=walk.problems,
    )
    guard_of(opened)(all_prims(stage))
    return opened


def guard_of(opened: Opened) -> Callable[[Iterable[Any]], None]:
    """Return what takes value clips that lead out of the roots off prims, in memory only."""
    return lambda prims: _take_off_outside_clips(opened, prims)


def _take_off_outside_clips(opened: Opened, prims: Iterable[Any]) -> None:
    clipped = [prim for prim in prims if prim.HasAuthoredMetadata("clips")]
    for spec in [spec for prim in clipped for spec in prim.GetPrimStack()]:
        if spec.HasInfo("clips"):
            for text in _clip_assets(spec.GetInfo("clips")):
                target = _file_of(_anchored(spec.layer, text))
                if not _inside(target, opened.roots):
                    place = str(spec.path)
                    opened.problems.append(
                        _outside(opened.name, text, target, place, opened.roots[0])
                    )
                    spec.ClearInfo("clips")
                    break


class _LayerWalk:
    """Walks layers by their dependencies; opens those in the roots and mutes the others."""

    def __init__(self, name: str, roots: tuple[Path, ...]) -> None:
        self.name = name
        self.roots = roots
        self.opened: dict[str, Any] = {}
        self.muted: list[str] = []
        self.problems: list[Finding] = []
        self._seen: set[tuple[str, str]] = set()

    def visit(self, layer: Any, variables: Variables) -> None:
        """Look at all that a layer depends on.

        Parameters
        ----------
        variables
            Expression variables in force: those of layers that refer to this one come first.
        """
        key = (layer.identifier, repr(sorted(variables.items())))
        if key in self._seen:
            return
        self._seen.add(key)
        self.opened[layer.identifier] = layer
        self.opened.setdefault(layer.realPath or layer.identifier, layer)
        for written in sorted(layer.GetCompositionAssetDependencies()):
            text = _evaluated(written, variables)
            if text:
                self._follow(layer, written, text, variables)

    def _follow(self, layer: Any, written: str, text: str, variables: Variables) -> None:
        anchored = _anchored(layer, text)
        target = _file_of(anchored)
        if not _inside(target, self.roots):
            if anchored not in self.muted:
                self.muted.append(anchored)
                self.problems.append(_outside(self.name, text, target, "", self.roots[0]))
            if written in list(layer.subLayerPaths):
                layer.subLayerPaths.remove(written)
            return
        if not target.is_file():
            self._missing(layer, text, "is not there")
            return
        extension = door.Ar.GetResolver().GetExtension(anchored)
        if door.Sdf.FileFormat.FindByExtension(extension) is None:
            self._missing(layer, text, f"is no layer that this library reads (.{extension})")
            return
        try:
            below = self.opened.get(anchored) or _layer(anchored, text)
        except InputError as error:
            self.muted.append(anchored)
            self._missing(layer, text, f"cannot be read ({error.message})")
            return
        self.visit(below, {**below.expressionVariables, **variables})

    def _missing(self, layer: Any, text: str, why: str) -> None:
        found = finding(
            "reference_in_scene_is_broken",
            self.name,
            f"The layer {text}, named in {Path(layer.realPath).name}, {why}.",
            "Put the layer back, or mend the place that names it.",
            Location(self.name),
        )
        if found not in self.problems:
            self.problems.append(found)


def _layer(identifier: str, name: str) -> Any:
    try:
        layer = door.Sdf.Layer.FindOrOpen(identifier)
    except door.Tf.ErrorException as error:
        raise InputError(
            f"Cannot read {name}: {_first_line(error)}", "Mend the file, or export it again."
        ) from error
    if layer is None:
        raise InputError(
            f"Cannot read {name}: OpenUSD cannot open it.", "Check the file and its rights."
        )
    if not layer.anonymous:
        layer.Reload()  # the library keeps layers; one that changed on disk is read again
    return layer


def _first_line(error: Exception) -> str:
    """Return the library's own words, without the place in its source code."""
    text = " ".join(str(error).split())
    return text.rsplit(" : ", 1)[-1].strip("' ")[:300]


def _evaluated(text: str, variables: Variables) -> str:
    """Return an asset path with its variable expression worked out; empty if it cannot be."""
    expression = door.Sdf.VariableExpression
    if not expression.IsExpression(text):
        return text
    value = expression(text).Evaluate(dict(variables)).value
    return value if isinstance(value, str) else ""


def _anchored(layer: Any, text: str) -> str:
    """Return the identifier that an asset path in a layer stands for."""
    path, _ = door.Sdf.Layer.SplitIdentifier(text)
    anchored = str(door.Sdf.ComputeAssetPathRelativeToLayer(layer, path))
    resolved = str(door.Ar.GetResolver().Resolve(anchored))
    return anchored if Path(_outer(anchored)).is_absolute() or not resolved else resolved


def _outer(identifier: str) -> str:
    """Return the file on disk that a path inside a package lies in."""
    outer, _ = door.Ar.SplitPackageRelativePathOuter(identifier)
    return str(outer)


def _file_of(identifier: str) -> Path:
    return Path(_outer(identifier))


def _inside(target: Path, roots: Sequence[Path]) -> bool:
    try:
        real = target.absolute().resolve()
    except (OSError, RuntimeError):
        return False
    return any(real.is_relative_to(root) for root in roots)


def _clip_assets(clips: Mapping[str, Any]) -> Iterator[str]:
    """Yield the asset paths in a prim's value clips."""
    for clip_set in clips.values():
        for key in ("assetPaths", "manifestAssetPath", "templateAssetPath"):
            value = clip_set.get(key)
            if isinstance(value, str):
                yield value
            elif isinstance(value, door.Sdf.AssetPath):
                yield value.path
            elif value is not None:
                yield from (item.path for item in value)


def _outside(name: str, text: str, target: Path, place: str, root: Path) -> Finding:
    return finding(
        "file_is_outside_the_root",
        name,
        f"{text} leads to {target.parent}, outside {root}; it was not opened.",
        f"If it belongs to the scene, add --root {target.parent}.",
        Location(name, place),
    )
