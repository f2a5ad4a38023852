"""Lights of a stage in their standard's terms: radiance, shape and cone.

Source: OpenUSD 26.11, documentation of UsdLux: ``LightAPI`` (intensity, exposure, normalize),
``ShapingAPI``, and the kinds of light.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from primecoat.scenes.usd import door

Rows = NDArray[np.float64]

_FOLLOWED = ("DistantLight", "SphereLight", "RectLight", "DiskLight", "CylinderLight")
_DOMES = ("DomeLight", "DomeLight_1")


class _Walk(Protocol):
    time: Any
    metres: float
    up: str

    def tell(self, words: str) -> None: ...

    def path(self, prim: Any) -> str: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """A light.

    Parameters
    ----------
    path
        As the survey names it.
    kind
        Type of the prim.
    radiance
        What its colour is multiplied by; for a distant light irradiance, for a point (``point``)
        power by solid angle, in square metres.
    place, axes
        Its middle; its own x, y and z in the world, shape (3, 3), in metres.
    size
        Half edges, radii or half length and radius, in its own units.
    cone
        Angles where it begins to fall off and where it ends, in radians; None for none.
    texture
        Whether it has a picture.
    """

    path: str
    kind: str
    radiance: float
    place: Rows
    axes: Rows
    size: tuple[float, float] = (0.0, 0.0)
    point: bool = False
    cone: tuple[float, float] | None = None
    texture: bool = False


def lamp(prim: Any, matrix: Rows, turn: Rows, walk: _Walk) -> Lamp | None:
    """Return a light; None for one that is not traced, which is told."""
    kind = str(prim.GetTypeName())
    if kind not in (*_FOLLOWED, *_DOMES):
        walk.tell(f"the light {prim.GetPath()} is not traced: {kind}")
        return None

    def number(name: str, default: float) -> float:
        given = prim.GetAttribute(f"inputs:{name}")
        value = given.Get(walk.time) if given else None
        return default if value is None else float(value)

    bright = number("intensity", 1.0) * 2.0 ** number("exposure", 0.0)
    texture = bool(_value(prim, "inputs:texture:file", walk.time))
    cone = _cone(prim, number)
    size: tuple[float, float] = (0.0, 0.0)
    point = False
    axes = matrix[:3, :3]
    scale = np.linalg.norm(axes, axis=1)
    if kind == "DistantLight":
        bright *= _angular_size(number("angle", 0.53)) / _by_angle(prim, number, walk.time)
    elif kind not in _DOMES:
        size, area = _size(kind, number, axes, scale)
        if _value(prim, "inputs:normalize", walk.time):
            bright /= max(area, 1e-30)
        if kind == "SphereLight":
            hint = bool(_value(prim, "treatAsPoint", walk.time))
            point = hint or cone is not None
            if cone is not None and not hint:
                walk.tell(f"the light {prim.GetPath()} has a cone: it is traced as a point")
            if point:
                bright *= math.pi * (size[0] * float(scale.mean()) * walk.metres) ** 2
        elif cone is not None:
            walk.tell(f"the cone of the light {prim.GetPath()} is not traced")
            cone = None
    _tell_the_rest(prim, kind, texture, walk)
    world = axes @ turn.T
    if kind == "DomeLight_1":
        world = _pole(prim, walk) @ axes @ turn.T
    return Lamp(
        path=walk.path(prim),
        kind=kind,
        radiance=bright,
        place=matrix[3, :3] @ turn.T * walk.metres,
        axes=world if kind in _DOMES else world * walk.metres,
        size=size,
        point=point,
        cone=cone,
        texture=texture,
    )


def _value(prim: Any, name: str, time: Any) -> Any:
    given = prim.GetAttribute(name)
    return given.Get(time) if given else None


def _pole(prim: Any, walk: _Walk) -> Rows:
    """Return what turns a dome whose pole is +y to its own pole, before its transform."""
    pole = str(_value(prim, "poleAxis", walk.time) or "scene")
    if pole == "Z" or (pole == "scene" and walk.up == "Z"):
        return np.array([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]])
    return np.eye(3)


def _angular_size(degrees: float) -> float:
    """Return the projected solid angle of a distant light; 1 for a light without a size."""
    half = min(max(math.radians(degrees) / 2.0, 0.0), math.pi)
    if half == 0.0:
        return 1.0
    square = math.sin(half) ** 2
    return math.pi * (square if half <= math.pi / 2.0 else 2.0 - square)


def _by_angle(prim: Any, number: Callable[[str, float], float], time: Any) -> float:
    normal = _value(prim, "inputs:normalize", time)
    return _angular_size(number("angle", 0.53)) if normal else 1.0


def _size(
    kind: str, number: Callable[[str, float], float], axes: Rows, scale: Rows
) -> tuple[tuple[float, float], float]:
    """Return the sizes of a light in its own units, and its area in the units of the stage."""
    if kind == "RectLight":
        wide, high = number("width", 1.0), number("height", 1.0)
        return (wide / 2, high / 2), wide * high * float(np.linalg.norm(np.cross(axes[0], axes[1])))
    radius = number("radius", 0.5)
    if kind == "DiskLight":
        flat = float(np.linalg.norm(np.cross(axes[0], axes[1])))
        return (radius, radius), math.pi * radius * radius * flat
    if kind == "CylinderLight":
        length = number("length", 1.0)
        around = 2.0 * math.pi * radius * float(scale[1:].mean())
        return (length / 2, radius), around * length * float(scale[0])
    wide = radius * float(scale.mean())
    return (radius, radius), 4.0 * math.pi * wide * wide


def _cone(prim: Any, number: Callable[[str, float], float]) -> tuple[float, float] | None:
    if not prim.HasAPI(door.UsdLux.ShapingAPI):
        return None
    outer = math.radians(number("shaping:cone:angle", 90.0))
    soft = min(max(number("shaping:cone:softness", 0.0), 0.0), 1.0)
    return (outer * (1.0 - soft), outer) if outer < math.pi else None


def _tell_the_rest(prim: Any, kind: str, texture: bool, walk: _Walk) -> None:
    at = prim.GetPath()
    if texture and kind not in _DOMES:
        walk.tell(f"the picture of the light {at} is not traced")
    if kind == "DistantLight" and float(_value(prim, "inputs:angle", walk.time) or 0.53) > 1.0:
        walk.tell(f"the light {at} has an angle: its shadows are traced sharp")
    for name in ("inputs:shaping:focus", "inputs:shaping:ies:file"):
        if _value(prim, name, walk.time):
            walk.tell(f"{name} of the light {at} is not traced")
    if prim.GetRelationship("light:filters").GetTargets():
        walk.tell(f"the filters of the light {at} are not traced")
    for collection in ("lightLink", "shadowLink"):
        given = prim.GetRelationship(f"collection:{collection}:includes")
        if given and given.GetTargets():
            walk.tell(f"the light {at} is traced for everything: {collection} is not followed")
