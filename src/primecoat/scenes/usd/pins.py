"""What a new rendering colour space would change the meaning of, pinned to what it was.

A colour that nothing is declared for follows the stage's ``renderingColorSpace``. Before that is
changed, each such value gets a declaration of its own: the space that it has been in.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd.colours import Colours
from primecoat.scenes.usd.network import Network
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.spaces import RENDERING, Rendering, Spaces
from primecoat.scenes.usd.targets import Target, target_of
from primecoat.scenes.usd.variants import each_variant
from primecoat.scenes.usd.walk import Met, walk


def pins(
    stage: Any,
    met: Met,
    rendering: Rendering,
    places: Places,
    aimed: Sequence[tuple[Target, Edit]],
) -> list[tuple[Target, Edit]]:
    """Return the declarations to add where some edits change the rendering colour space.

    Raises
    ------
    RefusedError
        If nobody knows in which space a governed value has been.
    """
    changes = [edit for target, edit in aimed if target.path.name == RENDERING]
    if all(edit.before == edit.after for edit in changes):
        return []
    declared = {(target.path, target.choices) for target, _ in aimed if target.what == "colorSpace"}
    colours = Colours("", places, Spaces(stage, rendering, places))
    _gather(stage, met, colours)
    for prims in each_variant(stage, met.with_variants, places):
        colours.spaces.forget()
        _gather(stage, walk(prims), colours)
    colours.spaces.forget()
    found = []
    for value in (*colours.values.values(), *colours.lights.values()):
        if value.declared is not None or value.declared_at is None:
            continue
        target = target_of(value.declared_at.place)
        if (target.path, target.choices) in declared:
            continue
        if value.default is None:
            raise RefusedError(
                f"{value.location.place} follows the rendering colour space, and nothing says "
                "which that has been.",
                "Declare it first: 'primecoat plan --route declare' with --from.",
            )
        edit = Edit(place=value.declared_at.place, before="", after=value.default)
        found.append((target, edit))
    return found


def _gather(stage: Any, met: Met, colours: Colours) -> None:
    network = Network(stage, met.shaders)
    textures = {reached.texture: reached.slot for reached in network.reached()}
    colours.gather(met, network.slot_of_value, textures, stage)
