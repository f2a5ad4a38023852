"""Open the scene with its new layer and look whether each edit counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from primecoat.colour.ids import reading_named
from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door
from primecoat.scenes.usd.confine import Opened, guard_of
from primecoat.scenes.usd.lamps import USES_TEMPERATURE, kelvin_of
from primecoat.scenes.usd.places import Choice, Places
from primecoat.scenes.usd.spaces import RENDERING
from primecoat.scenes.usd.targets import Target, choices_of
from primecoat.scenes.usd.variants import select


def verify(opened: Opened, layer: Any, made: Sequence[tuple[Target, Edit]], *, below: bool) -> None:
    """Refuse a layer in which an edit does not count.

    Parameters
    ----------
    opened
        The stage without the layer.
    layer
        The new layer.
    below
        Whether the scene is to be put below it; else the layer replaces the scene's own.

    Raises
    ------
    RefusedError
        If some stronger opinion hides an edit.
    """
    stage = _with_layer(opened, layer, below)
    places = Places(stage, guard_of(opened))
    by_choice: dict[tuple[Choice, ...], list[tuple[Target, Edit]]] = {}
    for target, edit in made:
        choices = (*target.choices, *target.beside)
        by_choice.setdefault(choices, []).append((target, edit))
    for choices, group in by_choice.items():
        with select(stage, choices, places):
            for target, edit in group:
                if not _counts(stage, target, edit):
                    raise RefusedError(
                        f"The change at {edit.place} would not count: a stronger opinion in the "
                        "scene hides it.",
                        "Change this place in the layer that holds it.",
                    )


def _with_layer(opened: Opened, layer: Any, below: bool) -> Any:
    root = door.Sdf.Layer.CreateAnonymous("check.usda")
    stage = door.Usd.Stage.Open(root)
    if opened.muted:
        stage.MuteAndUnmuteLayers(list(opened.muted), [])
    root.TransferContent(layer)
    if below:
        root.subLayerPaths = [opened.root.identifier]
    else:
        anchor = opened.root
        root.subLayerPaths = [
            str(door.Sdf.ComputeAssetPathRelativeToLayer(anchor, path))
            for path in layer.subLayerPaths
        ]
    return stage


def _counts(stage: Any, target: Target, edit: Edit) -> bool:
    attribute = stage.GetAttributeAtPath(target.path)
    if not attribute:
        return False
    if target.path.name == USES_TEMPERATURE:
        return kelvin_of(attribute.GetPrim()) is None
    if target.path.name == RENDERING:
        return bool(attribute.Get() == (reading_named(edit.after) or edit.after))
    if target.what == "colorSpace":
        return bool(attribute.GetColorSpace() == (reading_named(edit.after) or edit.after))
    value = attribute.Get() if target.time is None else attribute.Get(target.time)
    if target.what == "asset":
        if target.item is not None:
            value = value[target.item]
        return bool((getattr(value, "authoredPath", "") or value.path) == edit.after)
    if target.what == "value":
        if value is None:
            value = attribute.Get(attribute.GetTimeSamples()[0])
        wanted = [float(number) for number in edit.after.split()]
        rows = np.asarray(value, dtype=np.float64)
        found = rows.reshape(-1, rows.shape[-1])[0, :3]
        narrow = np.asarray(value).dtype.itemsize == 2
        return bool(np.allclose(found, wanted, rtol=2e-3 if narrow else 1e-6, atol=1e-6))
    return _ruled_by(stage.GetRootLayer(), attribute, target)


def _ruled_by(layer: Any, attribute: Any, target: Target) -> bool:
    """Whether what rules over an attribute stands in a layer, in the variants that were meant.

    Of what stands in a shared over for instances, variants above the instance are not named.
    """
    for spec in attribute.GetPropertyStack(door.Usd.TimeCode.Default()):
        if spec.HasInfo("default") or spec.HasInfo("timeSamples"):
            named = {choice[1:] for choice in choices_of(spec.path)}
            meant = {choice[1:] for choice in target.choices}
            shared = spec.path.GetPrefixes()[0] != target.path.GetPrefixes()[0]
            return bool(spec.layer == layer) and (named <= meant if shared else named == meant)
    return False
