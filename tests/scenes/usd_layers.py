"""Layers above small scenes, and how two stages or folders are compared."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.scenes.usd_stages import (
    all_values,
)

from primecoat.scenes.formats import usd
from primecoat.scenes.model import Edit, Scene
from primecoat.scenes.usd import door

SET = 'def Xform "Set"\n{\n    color3f tint = (1, 0, 0)\n    float3 no = (1, 0, 0)\n}\n'
"""A prim with a colour, and with three numbers that are none."""


def primed(root: Path, edits: Sequence[Edit]) -> Path:
    """Write the layer above a scene."""
    target = root.with_name("root.primed.usda")
    target.write_bytes(usd.changed(root, edits, target))
    return target


def read(path: Path) -> Scene:
    return usd.read(path, path.name)


def hashes(folder: Path) -> dict[str, str]:
    return {
        p.name: hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file() and ".primed." not in p.name
    }


def differences(one: Path, other: Path) -> dict[str, tuple[Any, Any]]:
    """Return what two stages say differently, by path."""
    a = all_values(door.Usd.Stage.Open(str(one)))
    b = all_values(door.Usd.Stage.Open(str(other)))
    return {k: (a.get(k), b.get(k)) for k in {*a, *b} if a.get(k) != b.get(k)}


def complaints(path: Path) -> set[str]:
    """Return what the library's validators say of a stage, without the place of the layer."""
    registry = door.UsdValidation.ValidationRegistry()
    context = door.UsdValidation.ValidationContext(registry.GetOrLoadAllValidators())
    found = context.Validate(door.Usd.Stage.Open(str(path)))
    return {f"{e.GetName()} {e.GetMessage()}".replace(".primed", "") for e in found}


def spaces_written(path: Path) -> set[str]:
    """Return every colour space in a layer, by its specs."""
    root = door.Sdf.Layer.FindOrOpen(str(path))
    found = set()

    def visit(place: Any) -> None:
        spec = root.GetObjectAtPath(place)
        if isinstance(spec, door.Sdf.AttributeSpec):
            if spec.HasInfo("colorSpace"):
                found.add(spec.colorSpace)
            if spec.name in ("renderingColorSpace", "colorSpace:name"):
                found.add(spec.default)

    root.Traverse("/", visit)
    return found
