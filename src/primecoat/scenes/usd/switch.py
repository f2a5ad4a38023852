"""A new working space for a stage: where its render settings name one, and what follows that."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from primecoat.colour.ids import reading_named
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door
from primecoat.scenes.usd.confine import guard_of, open_confined
from primecoat.scenes.usd.pins import pins
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.spaces import rendering_space
from primecoat.scenes.usd.targets import target_of
from primecoat.scenes.usd.walk import all_prims, walk


def edits_of_switch(
    path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
) -> tuple[Edit, ...]:
    """Return the edits that make a stage name another rendering colour space.

    None for a stage without render settings, or if they name the space already.

    Raises
    ------
    RefusedError
        If nobody knows in which space something that follows the old one has been.
    """
    with door.quiet():
        opened = open_confined(path, name, roots)
        places = Places(opened.stage, guard_of(opened))
        met = walk(all_prims(opened.stage))
        for prim in met.with_variants:
            places.know_variants(prim)
        rendering = rendering_space(opened.stage, met.settings, places)
        edits = [
            Edit(place=f"{place}/value", before=text, after=to_space)
            for place, text in zip(rendering.places, rendering.written, strict=True)
            if reading_named(text) != to_space
        ]
        aimed = [(target_of(edit.place), edit) for edit in edits]
        pinned = pins(opened.stage, met, rendering, places, aimed)
        return (*edits, *(edit for _, edit in pinned))
