"""What stands in an OpenUSD stage: triangles, a camera and lights, in metres, with y up.

Source: OpenUSD 26.11, documentation of UsdGeom, UsdLux and UsdShade. Everything is taken at the
stage's first time, in the variants that it selects, where it is visible and of the purposes
``default`` and ``render``. What is found but not followed is told in words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.scenes.collector import collector_at_rest
from primecoat.scenes.usd import door
from primecoat.scenes.usd.confine import guard_of, open_confined
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.polygons import Polygons, polygons, triangulated
from primecoat.scenes.usd.standing_lights import Lamp, lamp
from primecoat.scenes.usd.surface_inputs import SurfaceInputs, surface_inputs

Rows = NDArray[np.float64]

MOST_TRIANGLES: Final = 8_000_000
"""Triangles that are taken of a stage, instances counted each; what comes after is told."""

_PURPOSES = ("default", "render")
_SILENT = (
    *(
        "Xform",
        "Scope",
        "Material",
        "Shader",
        "NodeGraph",
        "Camera",
        "GeomSubset",
        "RenderSettings",
    ),
    *("RenderProduct", "RenderVar", "SkelRoot", "", "Mesh", "LightFilter"),
)
"""Types that make no picture themselves, and those that are followed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Triangles of one material, each corner for itself.

    Parameters
    ----------
    points
        Shape (m, 3, 3), metres, y up.
    normals, colours
        Shape (m, 3, 3); None where there are none.
    places
        Of each set of texture coordinates, (m, 3, 2), v upwards; by name without ``primvars:``.
    material
        Path of the material; empty for none.
    colours_at
        Place of the colours.
    """

    points: Rows
    material: str
    normals: Rows | None = None
    places: dict[str, Rows] = field(default_factory=dict)
    colours: Rows | None = None
    colours_at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A camera: place, way it looks and way that is up, and height of its picture at distance 1."""

    place: Rows
    ahead: Rows
    up: Rows
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """What stands in a stage; materials by path; what is not followed, in words."""

    placed: tuple[Placed, ...]
    materials: dict[str, SurfaceInputs]
    cameras: tuple[Standing, ...]
    lamps: tuple[Lamp, ...]
    selected: frozenset[tuple[str, str, str]]
    unfollowed: tuple[str, ...]


def geometry(path: Path, name: str, roots: Sequence[Path] = ()) -> Geometry:
    """Read what stands in a stage.

    Parameters
    ----------
    path, name, roots
        As for :func:`primecoat.scenes.usd.read_stage.read_stage`.

    Raises
    ------
    InputError
        If the file is no USD.
    """
    with door.quiet(), collector_at_rest():
        opened = open_confined(path, name, roots)
        return _Walk(opened.stage, Places(opened.stage, guard_of(opened))).all()


class _Walk:
    def __init__(self, stage: Any, places: Places) -> None:
        self.stage, self.places = stage, places
        self.time = door.Usd.TimeCode.EarliestTime()
        self.xforms = door.UsdGeom.XformCache(self.time)
        self.metres = float(door.UsdGeom.GetStageMetersPerUnit(stage))
        self.turn = np.eye(3)
        self.up = str(door.UsdGeom.GetStageUpAxis(stage))
        if self.up == "Z":  # +z becomes +y, and -y becomes +z
            self.turn = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
        self.placed: list[Placed] = []
        self.cameras: list[Standing] = []
        self.lamps: list[Lamp] = []
        self.materials: dict[str, SurfaceInputs] = {}
        self.selected: set[tuple[str, str, str]] = set()
        self.left: Counter[str] = Counter()
        self.told: dict[str, None] = {}
        self.count = 0

    def all(self) -> Geometry:
        for prim in self._prims():
            self._variants(prim)
            kind = str(prim.GetTypeName())
            imageable = door.UsdGeom.Imageable(prim)
            shown = not imageable or (
                imageable.ComputeVisibility(self.time) != "invisible"
                and imageable.ComputePurpose() in _PURPOSES
            )
            if kind == "Camera":
                self._camera(prim)
            elif not shown:
                continue
            elif kind == "Mesh":
                self._mesh(prim)
            elif prim.HasAPI(door.UsdLux.LightAPI):
                made = lamp(prim, self._matrix(prim), self.turn, self)
                if made is not None:
                    self.lamps.append(made)
            elif kind not in _SILENT:
                self.left[kind] += 1
        words = [f"{number} x {kind} is not traced" for kind, number in sorted(self.left.items())]
        return Geometry(
            placed=tuple(self.placed),
            materials=self.materials,
            cameras=tuple(self.cameras),
            lamps=tuple(self.lamps),
            selected=frozenset(self.selected),
            unfollowed=(*self.told, *words),
        )

    def _prims(self) -> Iterator[Any]:
        every = door.Usd.TraverseInstanceProxies(door.Usd.PrimDefaultPredicate)
        walk = iter(door.Usd.PrimRange(self.stage.GetPseudoRoot(), every))
        for prim in walk:
            yield prim
            if prim.GetTypeName() == "PointInstancer":
                walk.PruneChildren()

    def _variants(self, prim: Any) -> None:
        if prim.HasVariantSets():
            sets = prim.GetVariantSets()
            at = str(self.places.shown(prim.GetPath()))
            self.selected |= {(at, n, str(sets.GetVariantSelection(n))) for n in sets.GetNames()}

    def tell(self, words: str) -> None:
        """Note what is not followed."""
        self.told[words] = None

    def _matrix(self, prim: Any) -> Rows:
        return np.array(self.xforms.GetLocalToWorldTransform(prim), np.float64)

    def path(self, prim: Any) -> str:
        """Return a prim's path as the survey names it: of the first instance that shares it."""
        shared = prim.GetPrimInPrototype() if prim.IsInstanceProxy() else prim
        return str(self.places.shown(shared.GetPath()))

    def _mesh(self, prim: Any) -> None:
        found = polygons(door.UsdGeom.Mesh(prim), self.time)
        if found is None:
            self.tell(f"{prim.GetPath()} is not traced: its polygons cannot be read")
            return
        if found.subdivided:
            self.tell("subdivided meshes are traced as their cages, with smooth normals")
        if found.holes:
            self.tell(f"{found.holes} polygons of {prim.GetPath()} are holes, and left open")
        matrix = self._matrix(prim)
        for faces, bound in self._parts(prim, found):
            cut = triangulated(found, faces)
            self.count += len(cut)
            if self.count > MOST_TRIANGLES:
                self.tell(f"only the first {MOST_TRIANGLES} triangles are traced")
                return
            if len(cut):
                self.placed.append(self._placed(prim, found, cut, matrix, bound))

    def _parts(self, prim: Any, found: Polygons) -> Iterator[tuple[NDArray[np.int64], str]]:
        """Yield the faces of each material, with its path."""
        left = np.ones(found.faces, np.bool_)
        for subset in door.UsdShade.MaterialBindingAPI(prim).GetMaterialBindSubsets():
            indices = np.array(subset.GetIndicesAttr().Get(self.time) or (), np.int64)
            indices = indices[(indices >= 0) & (indices < found.faces)]
            indices = indices[left[indices]]
            left[indices] = False
            yield indices, self._bound(subset.GetPrim())
        yield np.flatnonzero(left), self._bound(prim)

    def _bound(self, prim: Any) -> str:
        material, _ = door.UsdShade.MaterialBindingAPI(prim).ComputeBoundMaterial()
        if not material:
            return ""
        path = self.path(material.GetPrim())
        if path not in self.materials:
            self.materials[path] = surface_inputs(material, self.time, self.path)
        return path

    def _placed(
        self, prim: Any, found: Polygons, cut: NDArray[np.int64], matrix: Rows, material: str
    ) -> Placed:
        linear = matrix[:3, :3] @ self.turn.T
        if np.linalg.det(linear) < 0:
            cut = cut[:, ::-1]
        points = found.points[found.corners[cut]] @ linear + matrix[3, :3] @ self.turn.T
        normals = found.normals
        if normals is not None:
            normals = normals[cut] @ np.linalg.pinv(linear).T
            normals /= np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-20)
        at = f"{self.path(prim)}.primvars:displayColor" if found.colours is not None else ""
        return Placed(
            points=points * self.metres,
            material=material,
            normals=normals,
            places={name: rows[cut] for name, rows in found.places.items()},
            colours=None if found.colours is None else found.colours[cut],
            colours_at=at,
        )

    def _camera(self, prim: Any) -> None:
        camera = door.UsdGeom.Camera(prim)
        matrix = self._matrix(prim)
        linear = matrix[:3, :3] @ self.turn.T
        focal = float(camera.GetFocalLengthAttr().Get(self.time) or 50.0)
        aperture = float(camera.GetVerticalApertureAttr().Get(self.time))
        if camera.GetProjectionAttr().Get(self.time) == "orthographic":
            self.tell(f"the camera {prim.GetPath()} is orthographic: traced with perspective")
        for name in ("horizontalApertureOffset", "verticalApertureOffset"):
            if prim.GetAttribute(name).Get(self.time):
                self.tell(f"the {name} of {prim.GetPath()} is not traced")
        self.cameras.append(
            Standing(
                place=matrix[3, :3] @ self.turn.T * self.metres,
                ahead=-linear[2] / np.linalg.norm(linear[2]),
                up=linear[1] / np.linalg.norm(linear[1]),
                height=aperture / focal,
            )
        )
