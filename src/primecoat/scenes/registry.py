"""The scene formats, and which of them reads a file."""

from __future__ import annotations

from pathlib import Path

from primecoat.errors import UseError
from primecoat.scenes.format import SceneFormat
from primecoat.scenes.formats import gltf, materialx, sheet

FORMATS: dict[str, SceneFormat] = {"gltf": gltf, "materialx": materialx, "sheet": sheet}
"""All formats by name."""

SUFFIXES: dict[str, str] = {
    suffix: name for name, module in FORMATS.items() for suffix in module.SUFFIXES
}
"""File ending to name of format."""


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
