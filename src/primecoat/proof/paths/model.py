"""A scene as paths meet it: triangles, surfaces, lights and a camera, all in Rec.709 and metres."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.scenes.wrapping import REPEATED, Wraps

Floats = NDArray[np.float32]
Triple = tuple[float, float, float]
Tiles = tuple[int, int]
Shape = Literal["rectangle", "disk", "sphere", "cylinder"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """What plugs into a surface: a constant, times a picture if there is one.

    Parameters
    ----------
    factor
        Linear Rec.709 for colours, else one number.
    picture
        Shape (height, width, channels), float32: colours in linear Rec.709, data as stored;
        the first row is v = 0. None for the constant alone.
    tiles
        How many tiles the picture holds across and up; the lowest left one is that of 0 to 1.
    wraps
        What it shows beyond its edges; tiles are repeated.
    """

    factor: tuple[float, ...]
    picture: Floats | None = None
    tiles: Tiles = (1, 1)
    wraps: Wraps = REPEATED


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """What light does at a triangle: the metallic-roughness model of glTF 2.0, appendix B.

    Parameters
    ----------
    name
        As its owner calls it.
    base_color, metalness, roughness, opacity, emission
        Its inputs; emission is radiance.
    normal
        Tangent-space normals as stored, 0 to 1; None for none.
    normal_tiles, normal_wraps
        As in :class:`Input`.
    gloss
        Weight of the coat of a surface without metal: 1, or 0 for one that only scatters (the
        factor of KHR_materials_specular).
    mirrored
        What of light that comes straight on the coat mirrors: 0.04 for an index of 1.5.
    """

    name: str
    base_color: Input
    metalness: Input = Input(factor=(0.0,))
    roughness: Input = Input(factor=(1.0,))
    opacity: Input = Input(factor=(1.0,))
    emission: Input = Input(factor=(0.0, 0.0, 0.0))
    normal: Floats | None = None
    normal_tiles: Tiles = (1, 1)
    normal_wraps: Wraps = REPEATED
    gloss: float = 1.0
    mirrored: float = 0.04


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Triangles of one surface.

    Parameters
    ----------
    points
        Shape (n, 3), metres.
    triangles
        Shape (m, 3), numbers of points, against the clock seen from outside.
    normals, places
        One for each point: shape (n, 3), and (n, 2) from 0 to 1 across a picture.
    surface
        What it is made of.
    tints
        One for each point, shape (n, 3), linear Rec.709: what its base colour is multiplied by.
    """

    points: Floats
    triangles: NDArray[np.int32]
    surface: Surface
    normals: Floats | None = None
    places: Floats | None = None
    tints: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Distant:
    """Light from one direction: ``toward`` it, a unit vector; irradiance square to it."""

    toward: Triple
    irradiance: Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """Light from a point.

    Parameters
    ----------
    place
        Where it is.
    intensity
        Power by solid angle.
    axis, inner, outer
        For a cone: the way it shines, a unit vector, and the cosines of the angles where it begins
        to fall off and where it ends (KHR_lights_punctual, "spot"); None for light all around.
    by_angle
        Whether it falls off by a smooth step of the angle (UsdLux), not by the cosine.
    """

    place: Triple
    intensity: Triple
    axis: Triple | None = None
    inner: float = 1.0
    outer: float = 0.0
    by_angle: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """Light from a surface that is not seen itself: shape, place and radiance.

    Parameters
    ----------
    shape
        ``rectangle`` and ``disk`` shine to the side where ``across`` x ``along`` does not point;
        ``sphere`` and ``cylinder`` (its side, not its ends) outwards.
    place
        Its middle.
    across, along
        Half the edges of a rectangle; radii of a disk; ``across`` to the surface of a sphere;
        from the middle to an end, and to the side, of a cylinder.
    """

    shape: Shape
    place: Triple
    across: Triple
    along: Triple
    radiance: Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class Dome:
    """Light from all around.

    Parameters
    ----------
    radiance
        Latitude-longitude picture, linear Rec.709, shape (height, 2 height, 3): up is the top
        row, +z the middle column, +x a quarter to the left of it (OpenEXR, OpenUSD).
    """

    radiance: Floats


Light = Distant | Point | Area | Dome


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A pinhole: where it is, what it looks at, and the height of its picture at distance 1."""

    place: Triple
    target: Triple
    height: float
    up: Triple = (0.0, 1.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """All that is traced."""

    meshes: tuple[Mesh, ...]
    camera: Camera
    lights: tuple[Light, ...] = field(default=())


Known = dict[int, tuple[Floats, bytes]]
"""Arrays that were looked at already, by identity, each with what stands for it."""


def stage_key(stage: Stage, known: Known | None = None) -> str:
    """Return what stands for all that is in a stage: equal stages have equal keys.

    Parameters
    ----------
    known
        Kept from one stage to the next, so that pictures which they share are hashed once.
    """
    told = hashlib.blake2b(digest_size=20)
    _tell(told, stage, {} if known is None else known)
    return told.hexdigest()


def _tell(told: Any, value: object, known: Known) -> None:
    if isinstance(value, np.ndarray):
        if id(value) not in known:
            own = hashlib.blake2b(f"{value.dtype} {value.shape}".encode(), digest_size=20)
            own.update(np.ascontiguousarray(value).data)
            known[id(value)] = value, own.digest()
        told.update(known[id(value)][1])
    elif is_dataclass(value):
        told.update(type(value).__name__.encode())
        for one in fields(value):
            _tell(told, getattr(value, one.name), known)
    elif isinstance(value, tuple):
        told.update(f"({len(value)}".encode())
        for part in value:
            _tell(told, part, known)
    else:
        told.update(f"{value!r};".encode())
