"""The test card as a renderer of the tests meets it, loaded from the OpenUSD layer."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

Usd, UsdGeom, UsdLux, UsdShade = (
    importlib.import_module(f"pxr.{name}") for name in ("Usd", "UsdGeom", "UsdLux", "UsdShade")
)  # they ship no types


@dataclass(frozen=True, kw_only=True, eq=False)
class Square:
    """A square of the layer: corners, its material's inputs, and the picture that it takes."""

    name: str
    corners: Floats
    base: Floats
    emission: Floats
    picture: str
    slot: str

    @property
    def normal(self) -> Floats:
        """Which way it faces."""
        across = np.cross(self.corners[1] - self.corners[0], self.corners[3] - self.corners[0])
        return np.asarray(across / np.linalg.norm(across))


@dataclass(frozen=True, kw_only=True, eq=False)
class Card:
    """The layer as it is rendered."""

    folder: Path
    squares: tuple[Square, ...]
    lights: dict[str, tuple[Floats, Floats, float | None]]
    eye: Floats
    half_width: float
    half_height: float
    sky: float


def load_card(folder: Path) -> Card:
    """Read ``card.usda``."""
    stage = Usd.Stage.Open(str(folder / "card.usda"))
    cache_of = UsdGeom.XformCache()
    squares, lights = [], {}
    for prim in stage.Traverse():
        if prim.IsA(UsdGeom.Mesh):
            squares.append(_square(prim))
        elif prim.IsA(UsdLux.DistantLight):
            light = UsdLux.DistantLight(prim)
            turned = np.array(cache_of.GetLocalToWorldTransform(prim))
            warm = light.GetEnableColorTemperatureAttr().Get()
            lights[prim.GetName()] = (
                turned[2, :3] * (light.GetIntensityAttr().Get() / np.pi),
                np.array(light.GetColorAttr().Get(), float),
                light.GetColorTemperatureAttr().Get() if warm else None,
            )
    camera = UsdGeom.Camera(stage.GetPrimAtPath("/card/camera"))
    focal = camera.GetFocalLengthAttr().Get()
    return Card(
        folder=folder,
        squares=tuple(squares),
        lights=lights,
        eye=np.array(cache_of.GetLocalToWorldTransform(camera.GetPrim()))[3, :3],
        half_width=camera.GetHorizontalApertureAttr().Get() / 2 / focal,
        half_height=camera.GetVerticalApertureAttr().Get() / 2 / focal,
        sky=UsdLux.DomeLight(stage.GetPrimAtPath("/card/sky")).GetIntensityAttr().Get(),
    )


def _square(prim: Any) -> Square:
    material = UsdShade.MaterialBindingAPI(prim).ComputeBoundMaterial()[0]
    shader = material.ComputeSurfaceSource()[0]
    picture, slot = "", ""
    for name in ("diffuseColor", "metallic", "normal"):
        entry = shader.GetInput(name)
        if entry and entry.HasConnectedSource():
            reader = UsdShade.Shader(entry.GetConnectedSources()[0][0].source.GetPrim())
            picture, slot = reader.GetInput("file").Get().path, name
    base, emission = (shader.GetInput(name) for name in ("diffuseColor", "emissiveColor"))
    return Square(
        name=prim.GetName(),
        corners=np.array(UsdGeom.Mesh(prim).GetPointsAttr().Get(), float),
        base=np.array(base.Get() or (1, 1, 1), float),
        emission=np.array(emission.Get() if emission else (0, 0, 0), float),
        picture=picture,
        slot=slot,
    )
