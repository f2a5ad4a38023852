"""The scene formats, and which of them reads a file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from primecoat.errors import UseError
from primecoat.limits import SCENE_BYTES, refuse_larger
from primecoat.scenes.format import SceneFormat
from primecoat.scenes.formats import gltf, materialx, sheet, usd
from primecoat.scenes.model import Edit, Scene

FORMATS: dict[str, SceneFormat] = {
    "gltf": gltf,
    "materialx": materialx,
    "sheet": sheet,
    "usd": usd,
}
"""All formats by name."""

SUFFIXES: dict[str, str] = {
    suffix: name for name, module in FORMATS.items() for suffix in module.SUFFIXES
}
"""File ending to name of format."""


_BINARY, _TIMES_AS_LARGE = (".glb", ".usd", ".usdc", ".usdz"), 8
"""Scenes that hold pictures or geometry as they are, and how much larger than text they may be."""


def format_of(path: Path) -> str:
    """Return the name of the format that reads a file.

    Raises
    ------
    UseError
        If no format reads this kind of file.
    """
    name = SUFFIXES.get(path.suffix.lower())
    if name is None:
        raise UseError(
            f"{path} is no scene that primecoat reads.",
            f"Give a folder of images or a file ending in {', '.join(SUFFIXES)}.",
        )
    return name


def read_scene(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a scene file; see ``SceneFormat.read``."""
    kind = format_of(path)
    binary = path.suffix.lower() in _BINARY
    refuse_larger(path, name, SCENE_BYTES, _TIMES_AS_LARGE if binary else 1)
    return FORMATS[kind].read(path, name, roots)


def changed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return what makes a scene with some edits made; see ``SceneFormat.changed``."""
    return FORMATS[format_of(source)].changed(source, edits, target, roots)


def changed_suffix(source: Path) -> str:
    """Return the ending of the file that stands beside a changed scene."""
    return FORMATS[format_of(source)].CHANGED_SUFFIX or source.suffix
