"""The layer that stands above a scene and holds its changes, and nothing else.

``NAME.primed.usda`` has the scene as its one sublayer, by a relative path, copies the metadata that
only a root layer can say, and holds overs for the edits. No source layer is touched.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door
from primecoat.scenes.usd.change import (
    Specs,
    check_before,
    declare,
    effective_declaration,
    make,
)
from primecoat.scenes.usd.confine import Opened, guard_of, open_confined
from primecoat.scenes.usd.in_place import in_place
from primecoat.scenes.usd.overs import Overs
from primecoat.scenes.usd.pins import pins
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.root_metadata import copy_root_metadata
from primecoat.scenes.usd.spaces import Rendering, Spaces, rendering_space
from primecoat.scenes.usd.spread import spread
from primecoat.scenes.usd.targets import Target, target_of
from primecoat.scenes.usd.variants import select
from primecoat.scenes.usd.verify import verify
from primecoat.scenes.usd.walk import all_prims, walk

MARK = "primecoat"
"""Key in the layer's own data by which a layer made here is known."""


def primed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return the layer that makes some edits of a scene; the same bytes each time.

    Parameters
    ----------
    source
        The scene file.
    edits
        Edits at places that reading the scene gave.
    target
        Where the layer will stand. If that is the source itself, the source is changed in place:
        a layer made here before gets more overs, and another one only what it holds itself.
    roots
        Folders whose layers may be opened.

    Raises
    ------
    RefusedError
        If the scene is not as it was, or an edit cannot be made to count.
    """
    with door.quiet():
        opened = open_confined(source, source.name, roots)
        same = os.path.abspath(source) == os.path.abspath(target)
        ours = MARK in opened.root.customLayerData
        if same and not ours:
            return in_place(opened, source, edits, _make_all)
        layer = door.Sdf.Layer.CreateAnonymous(".usda")
        if same:
            layer.TransferContent(opened.root)
        else:
            copy_root_metadata(opened.root, layer)
            layer.customLayerData = {**layer.customLayerData, MARK: {"above": source.name}}
        places = Places(opened.stage, guard_of(opened))
        made = _make_all(opened, edits, Overs(opened.stage, layer, places), places)
        verify(opened, layer, made, below=not same)
        if not same:
            layer.subLayerPaths = [_relative(source, target)]
        return str(layer.ExportToString()).encode()


def _make_all(
    opened: Opened, edits: Sequence[Edit], specs: Specs, places: Places
) -> list[tuple[Target, Edit]]:
    """Write all edits, and the pins that they make necessary; return where they were written."""
    stage = opened.stage
    met = walk(all_prims(stage))
    for prim in met.with_variants:
        places.know_variants(prim)
    rendering = rendering_space(stage, met.settings, places)
    aimed = [(target_of(edit.place), edit) for edit in sorted(edits, key=lambda e: e.place)]
    pinned = pins(stage, met, rendering, places, aimed)
    made: list[tuple[Target, Edit]] = []
    for target, edit in spread(stage, met.with_variants, places, [*aimed, *pinned]):
        specs.prepare(target.path.GetPrimPath())
        with select(stage, (*target.choices, *target.beside), places):
            _make_one(stage, target, edit, specs, rendering, places)
        made.append((target, edit))
    return made


def _make_one(
    stage: Any, target: Target, edit: Edit, specs: Specs, rendering: Rendering, places: Places
) -> None:
    attribute = stage.GetAttributeAtPath(target.path)
    if not attribute and not (
        target.path.name == "renderingColorSpace" and stage.GetPrimAtPath(target.path.GetPrimPath())
    ):
        raise RefusedError(
            f"Nothing stands at {edit.place} in the scene.", "Survey it again, then plan."
        )
    effective = ""
    if target.what == "colorSpace" and attribute:
        if attribute.GetRoleName() == "Color":
            space = Spaces(stage, rendering, places).of(attribute, light=False)
            effective = space.declared or ""
        else:
            effective = effective_declaration(stage, attribute)
    if not (target.what == "colorSpace" and edit.before == "") or attribute.HasColorSpace():
        check_before(stage, target, edit, effective)
    make(stage, target, edit, specs)


def _relative(source: Path, target: Path) -> str:
    text = Path(os.path.relpath(source, target.absolute().parent)).as_posix()
    return text if text.startswith("../") else f"./{text}"


__all__ = ["MARK", "declare", "primed"]
