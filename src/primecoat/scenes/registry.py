"""The scene formats, and which of them reads a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from primecoat.errors import UseError
from primecoat.limits import SCENE_BYTES, refuse_larger
from primecoat.scenes.added import added_endings, added_format
from primecoat.scenes.format import SceneFormat
from primecoat.scenes.formats import gltf, materialx, sheet, usd
from primecoat.scenes.model import Edit, Scene

_OWN: dict[str, SceneFormat] = {
    "gltf": gltf,
    "materialx": materialx,
    "sheet": sheet,
    "usd": usd,
}
_OWN_SUFFIXES: dict[str, str] = {
    suffix: name for name, module in _OWN.items() for suffix in module.SUFFIXES
}


class _Formats(Mapping[str, SceneFormat]):
    """Our own formats, and those that installed packages add, whose name is their ending."""

    def __init__(self) -> None:
        self.loaded: dict[str, SceneFormat] = {}

    def __getitem__(self, name: str) -> SceneFormat:
        if name in _OWN:
            return _OWN[name]
        if name not in self.loaded:
            if name in _OWN_SUFFIXES or name not in added_endings():
                raise KeyError(name)
            self.loaded[name] = added_format(name)
        return self.loaded[name]

    def __iter__(self) -> Iterator[str]:
        yield from _OWN
        yield from (ending for ending in added_endings() if ending not in _OWN_SUFFIXES)

    def __len__(self) -> int:
        return sum(1 for _ in self)


class _Suffixes(Mapping[str, str]):
    """File endings and the formats that read them; no package takes an ending of ours."""

    def __getitem__(self, suffix: str) -> str:
        return _OWN_SUFFIXES[suffix] if suffix in _OWN_SUFFIXES else self._added(suffix)

    def __iter__(self) -> Iterator[str]:
        yield from _OWN_SUFFIXES
        yield from (name for name in FORMATS if name not in _OWN)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    @staticmethod
    def _added(suffix: str) -> str:
        if suffix not in added_endings():
            raise KeyError(suffix)
        return suffix


FORMATS = _Formats()
"""All formats by name; one that a package adds is loaded when it is used."""

SUFFIXES: Mapping[str, str] = _Suffixes()
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
