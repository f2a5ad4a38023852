"""OpenUSD (``.usd .usda .usdc .usdz``): stages, read as composed and changed by a layer above.

Source: OpenUSD 26.11; *UsdPreviewSurface Specification* 2.5; *Color User's Guide*. A place is the
path of an attribute, with the variant that it stands in: ``/Cup{glaze=blue}Looks/tex.inputs:file``.
What comes after it says what of it is meant: ``/time/1001``, ``/item/2``, ``/colorSpace``,
``/value``, ``/values``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from primecoat.colour.ids import DATA, SCENE_SPACES
from primecoat.scenes.model import Edit, Scene
from primecoat.scenes.usd.primed import primed
from primecoat.scenes.usd.read_stage import read_stage
from primecoat.scenes.usd.switch import edits_of_switch

SUFFIXES = (".usd", ".usda", ".usdc", ".usdz")
STANDARD = "OpenUSD"
CHANGED_SUFFIX = ".usda"
DECLARES = True
WHY_NOT = ""


def read(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a USD scene; see :class:`primecoat.scenes.format.SceneFormat`."""
    return read_stage(path, name, roots)


def claims(path: Path) -> bool:
    """Return True: these endings mean nothing else."""
    return path.suffix.lower() in SUFFIXES


def changed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return the layer above a scene that makes edits; see ``SceneFormat.changed``."""
    return primed(source, edits, target, roots)


def switch_edits(
    path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
) -> tuple[Edit, ...]:
    """Return the edits that write a new rendering colour space and pin what follows the old."""
    return edits_of_switch(path, name, to_space, roots)


def space_name(reading: str) -> str:
    """Return the name by which OpenUSD 26.11 declares a reading; empty for display spaces.

    Examples
    --------
    >>> space_name("lin_ap1_scene"), space_name("data"), space_name("srgb_rec709_display")
    ('lin_ap1_scene', 'data', '')
    """
    return reading if reading == DATA or reading in SCENE_SPACES else ""


def colour_text(written: str, colours: Sequence[tuple[float, float, float]]) -> str:
    """Return colours as an edit names them: numbers with spaces between."""
    return " ".join(f"{number:.9g}" for colour in colours for number in colour)


def reference_text(relative_path: str) -> str:
    """Return a relative path as it is written in this format: anchored at the layer.

    Examples
    --------
    >>> [reference_text(path) for path in ("textures/cup.png", "../cup.png", "cup.png")]
    ['./textures/cup.png', '../cup.png', 'cup.png']
    """
    bare = "/" not in relative_path or relative_path.startswith("../")
    return relative_path if bare else f"./{relative_path}"
