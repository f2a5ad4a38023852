"""Changes made in the scene's own file, where everything that changes stands in it."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door
from primecoat.scenes.usd.confine import Opened, guard_of
from primecoat.scenes.usd.overs import OwnSpecs
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.targets import Target
from primecoat.scenes.usd.verify import verify

Make = Callable[[Opened, Sequence[Edit], OwnSpecs, Places], list[tuple[Target, Edit]]]

_BINARY = b"PXR-USDC"


def in_place(opened: Opened, source: Path, edits: Sequence[Edit], make: Make) -> bytes:
    """Return the scene's own layer with edits made.

    Parameters
    ----------
    make
        Writes edits through some specs.

    Raises
    ------
    RefusedError
        If the file is a package, a changed opinion comes from another layer, or the text holds
        comments: the library does not keep them.
    """
    before = source.read_bytes()
    if before.startswith(b"PK"):
        raise RefusedError(
            f"{source.name} is a package, which is not changed in place.", "Leave out --in-place."
        )
    binary = before.startswith(_BINARY)
    if not binary and _has_comments(before):
        raise RefusedError(
            f"{source.name} holds comments, which would be lost.", "Leave out --in-place."
        )
    layer = door.Sdf.Layer.OpenAsAnonymous(str(source.absolute()))
    made = make(opened, edits, OwnSpecs(layer), Places(opened.stage, guard_of(opened)))
    for target, _ in made:
        _refuse_foreign(opened, target)
    verify(opened, layer, made, below=False)
    return _exported(layer) if binary else str(layer.ExportToString()).encode()


def _refuse_foreign(opened: Opened, target: Target) -> None:
    attribute = opened.stage.GetAttributeAtPath(target.path)
    stack = attribute.GetPropertyStack(door.Usd.TimeCode.Default()) if attribute else []
    others = {spec.layer.identifier for spec in stack if spec.layer != opened.root}
    if others:
        raise RefusedError(
            f"{target.path} stands in {Path(sorted(others)[0]).name} too, not in this layer alone.",
            "Leave out --in-place: a layer above then holds the changes.",
        )


def _has_comments(text: bytes) -> bool:
    return any(line.lstrip().startswith(b"#") for line in text.splitlines()[1:])


def _exported(layer: Any) -> bytes:
    with tempfile.TemporaryDirectory(prefix="primecoat-") as folder:
        path = Path(folder) / "layer.usdc"
        if not layer.Export(str(path)):
            raise RefusedError("The binary layer cannot be written.", "Leave out --in-place.")
        return path.read_bytes()
