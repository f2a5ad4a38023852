"""An OpenUSD file in, what it says of images, colours and lights out."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.collector import collector_at_rest
from primecoat.scenes.model import Scene
from primecoat.scenes.usd import door
from primecoat.scenes.usd.colours import Colours
from primecoat.scenes.usd.confine import Opened, guard_of, open_confined
from primecoat.scenes.usd.network import Network
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.spaces import Spaces, rendering_space
from primecoat.scenes.usd.textures import Textures
from primecoat.scenes.usd.variants import Tried, each_variant
from primecoat.scenes.usd.walk import Met, all_prims, walk

NAMED = 5
"""Prims that a finding names; the others are counted."""


def read_stage(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a USD file; see ``SceneFormat.read``.

    Parameters
    ----------
    roots
        Folders whose layers may be opened; by default the file's own and the parent of that.
    """
    with door.quiet(), collector_at_rest():
        opened = open_confined(path, name, roots)
        return _scene(opened, path, name)


def _scene(opened: Opened, path: Path, name: str) -> Scene:
    stage = opened.stage
    places = Places(stage, guard_of(opened))
    met = walk(all_prims(stage))
    for prim in met.with_variants:
        places.know_variants(prim)
    rendering = rendering_space(stage, met.settings, places)
    spaces = Spaces(stage, rendering, places)
    textures = Textures(stage, name, path.absolute().parent, places, spaces)
    colours = Colours(name, places, spaces)

    def gather(found: Met) -> None:
        network = Network(stage, found.shaders)
        textures.gather(found, network)
        colours.gather(found, network.slot_of_value, textures.colour_textures, stage)

    gather(met)
    tried = Tried()
    for prims in each_variant(stage, met.with_variants, places, tried):
        spaces.forget()
        textures.colour_textures.clear()
        gather(walk(prims))
    return Scene(
        path=path,
        name=name,
        format="usd",
        references=tuple(textures.references),
        uses=tuple(textures.uses.values()),
        colours=tuple(colours.values.values()),
        lights=tuple(colours.lights.values()),
        problems=tuple(
            dict.fromkeys(
                (*opened.problems, *textures.problems, *colours.problems, *_untried(tried, name))
            )
        ),
        working=rendering.name or "",
        layers=_layers(opened, path),
        operations=tuple(textures.operations.values()),
    )


def _untried(tried: Tried, name: str) -> tuple[Finding, ...]:
    if not tried.cut:
        return ()
    paths = [str(path) for path in tried.cut]
    more = f" and of {len(paths) - NAMED} more prims" if len(paths) > NAMED else ""
    return (
        finding(
            "variants_are_not_all_tried",
            name,
            f"The variants of {', '.join(paths[:NAMED])}{more} can be combined in more ways than "
            "are tried; what only some of them show is not listed.",
            "Select the combinations that you render, and survey the scene with each.",
            Location(name, paths[0]),
        ),
    )


def _layers(opened: Opened, path: Path) -> tuple[str, ...]:
    """Return the files that the stage is composed of, from the folder of the scene."""
    folder = path.absolute().parent
    files: dict[str, None] = {}
    for layer in opened.layers:
        outer, _ = door.Ar.SplitPackageRelativePathOuter(_real(layer))
        files[Path(os.path.relpath(outer, folder)).as_posix()] = None
    return tuple(files)


def _real(layer: Any) -> str:
    return str(layer.realPath or layer.identifier)
