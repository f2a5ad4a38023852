"""A small scene in each format, for each route that does something with it, planned and ready."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.plan import small as s
from tests.scenes.materialx_documents import document, image, material
from tests.scenes.usd_stages import layer, preview

from primecoat import workflow
from primecoat.documents import dumps
from primecoat.plan.plan import ROUTES
from primecoat.scenes.usd import door

Content = dict[str, bytes | str]


@dataclass(frozen=True, kw_only=True)
class World:
    """A scene as the artist made it, its plan, and what it becomes.

    Parameters
    ----------
    name
        Format, route, and whether it is changed in place.
    kept
        Folder with the untouched scene and the plan beside it; copied, never changed.
    target
        What the commands are given, relative to the scene's folder; empty for the folder.
    route, in_place
        As for ``primecoat plan``.
    before, after
        Every file of the scene, as it was and as the plan makes it.
    picture
        A picture of the scene as a survey names it, for a person's decision.
    """

    name: str
    kept: Path
    target: str
    route: str
    in_place: bool
    before: Content
    after: Content = field(default_factory=dict)
    picture: str = ""


def _gltf(folder: Path) -> Path:
    s.pictures(folder, "tex/bowl.png", "tex/rough.png")
    return s.gltf(folder / "tea.gltf", ("tex/bowl.png", "base_color"), ("tex/rough.png", "metal"))


def _glb(folder: Path) -> Path:
    return s.glb(folder / "pot.glb", (s.png(1), "base_color"), (s.png(2), "normal"))


def _sheet(folder: Path) -> Path:
    s.pictures(folder, "jug.png", "tray.1001.png", "tray.1002.png", "grain.png")
    return s.sheet(
        folder / "tray.csv",
        f"jug.png,a,base_color,rgb,{s.SRGB},",
        f"tray.<UDIM>.png,b,base_color,rgb,{s.SRGB},",
        "grain.png,a,roughness,r,,",
        ",cloth,base_color,,lin_rec709_scene,1 0.5 0",
    )


def _usd_text() -> str:
    return preview(
        'asset inputs:file = @./maps/cup.png@\n        token inputs:sourceColorSpace = "sRGB"'
    )


def _usd(folder: Path) -> Path:
    s.pictures(folder, "maps/cup.png")
    return layer(folder, _usd_text(), "cup.usda")


def _package(folder: Path) -> Path:
    made = _usd(folder / "unpacked")
    assert door.UsdUtils.CreateNewUsdzPackage(str(made), str(folder / "cup.usdz"))
    shutil.rmtree(folder / "unpacked")
    return folder / "cup.usdz"


def _materialx(folder: Path) -> Path:
    s.pictures(folder, "img.png")
    path = folder / "glaze.mtlx"
    body = image("color3", more='colorspace="srgb_texture"')
    body += material('name="base_color" type="color3" nodename="img"')
    path.write_text(document(body), encoding="utf-8")
    return path


def _folder(folder: Path) -> Path:
    for write in (_gltf, _glb, _sheet, _usd, _materialx):
        write(folder)
    return folder


_FORMATS: dict[str, Callable[[Path], Path]] = {
    "glTF": _gltf,
    "GLB": _glb,
    "USD": _usd,
    "USDZ": _package,
    "MaterialX": _materialx,
    "sheet": _sheet,
    "folder": _folder,
}


def make_worlds(kept: Path, work: Path) -> list[World]:
    """Write every world that has something to be done; plans are for the folder ``work/scene``.

    Decodes pictures: call it in a process of its own.
    """
    return [
        world
        for kind, write in _FORMATS.items()
        for route in ROUTES
        for in_place in (False, True)
        if (world := _world(kind, write, route, in_place, kept, work))
    ]


def _world(
    kind: str, write: Callable[[Path], Path], route: str, in_place: bool, kept: Path, work: Path
) -> World | None:
    name = f"{kind}, {route}{', in place' if in_place else ''}"
    scene = work / "scene"
    shutil.rmtree(work, ignore_errors=True)
    scene.mkdir(parents=True)
    target = write(scene)
    before = s.content(scene)
    survey = workflow.survey(target, verify=True, workers=1)
    plan = workflow.plan(survey, route, in_place=in_place, with_likely=True)
    if not plan.operations:
        return None
    shutil.rmtree(scene / ".primecoat", ignore_errors=True)
    (work / "plan.json").write_text(dumps(plan.as_document({})), encoding="utf-8")
    folder = kept / name
    shutil.copytree(work, folder)
    workflow.apply(plan, workers=1)
    return World(
        name=name,
        kept=folder,
        target="" if target == scene else target.name,
        route=route,
        in_place=in_place,
        before=before,
        after=s.content(scene),
        picture=survey.readings.images[0].record.path,
    )
