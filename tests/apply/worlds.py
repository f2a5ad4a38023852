"""A small scene for each route, with the plan for it, ready to be copied and primed."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from tests.plan import small as s

from primecoat.plan.plan import Plan


@dataclass(frozen=True)
class World:
    """A folder with a scene, and a plan for it."""

    folder: Path
    plan: Plan

    def copy(self, folder: Path) -> World:
        """Copy the artist's files (no state folder) elsewhere, the plan with them."""
        ignored = shutil.ignore_patterns(".primecoat")
        shutil.copytree(self.folder, folder, symlinks=True, ignore=ignored)
        target = folder / self.plan.target.relative_to(self.folder)
        return World(folder, replace(self.plan, root=folder, target=target))


def _gltf(folder: Path) -> Path:
    s.pictures(folder, "tex/bowl.png", "tex/rough.png")
    (folder / "tex" / "kept.png").hardlink_to(folder / "tex" / "rough.png")
    (folder / "tex" / "link.png").symlink_to("bowl.png")
    return s.gltf(
        folder / "tea.gltf",
        ("tex/bowl.png", "base_color"),
        ("tex/rough.png", "metal"),
        (s.data_uri(s.png(5)), "emissive"),
    )


def _renamed(folder: Path) -> Path:
    scene = _gltf(folder)
    (folder / "tex" / "link.png").unlink()
    return scene


def _glb(folder: Path) -> Path:
    return s.glb(folder / "tea.glb", (s.png(1), "base_color"), (s.png(2), "normal"))


def _sheet(folder: Path) -> Path:
    s.pictures(folder, "bowl.png", "tray.1001.png", "tray.1002.png", "rough.png")
    return s.sheet(
        folder / "tea.csv",
        f"bowl.png,a,base_color,rgb,{s.SRGB},",
        f"tray.<UDIM>.png,b,base_color,rgb,{s.SRGB},",
        "rough.png,a,roughness,r,,",
        ",cloth,base_color,,lin_rec709_scene,1 0.5 0",
    )


def _whole_folder(folder: Path) -> Path:
    _sheet(folder)
    _gltf(folder)
    for unused in ("kept.png", "link.png"):
        (folder / "tex" / unused).unlink()
    return folder


_KINDS: dict[str, tuple[Callable[[Path], Path], str, bool]] = {
    "tag": (_gltf, "tag", False),
    "tag in place": (_renamed, "tag", True),
    "tag embedded": (_glb, "tag", False),
    "tag embedded in place": (_glb, "tag", True),
    "tag sheet": (_sheet, "tag", False),
    "tag folder": (_whole_folder, "tag", False),
    "declare": (_sheet, "declare", False),
    "declare in place": (_sheet, "declare", True),
    "bake": (_sheet, "bake", False),
    "bake in place": (_sheet, "bake", True),
}

KINDS = tuple(_KINDS)


def build(kind: str, folder: Path) -> World:
    """Write the scene of a kind and plan for it."""
    folder.mkdir(parents=True, exist_ok=True)
    write, route, in_place = _KINDS[kind]
    made = s.plan(write(folder), route, in_place=in_place)
    assert len(made.operations) > 0
    assert (made.held, [f for f in made.findings if f.severity != "note"]) == ((), [])
    return World(folder, made)
