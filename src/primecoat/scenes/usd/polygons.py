"""Polygons of a UsdGeom mesh with what is given at their corners, and their triangles.

Source: OpenUSD 26.11, documentation of UsdGeomMesh and UsdGeomPrimvar.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.scenes.usd import door
from primecoat.scenes.usd.ears import ears, hollow

Rows = NDArray[np.float64]
Whole = NDArray[np.int64]

_PLACES = ("texCoord2f[]", "texCoord2d[]", "texCoord2h[]", "float2[]", "double2[]", "half2[]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Polygons:
    """A mesh; everything but points by corner of a polygon.

    Parameters
    ----------
    points
        Shape (n, 3).
    starts, counts
        First corner, and number of corners, of each polygon.
    corners
        Number of the point at each corner.
    normals, places, colours
        One for each corner; places by name.
    left_handed
        Whether corners run with the clock, seen from outside.
    holes
        How many polygons are said to be holes: they have no corners here.
    """

    points: Rows
    starts: Whole
    counts: Whole
    corners: Whole
    normals: Rows | None
    places: dict[str, Rows]
    colours: Rows | None
    left_handed: bool
    subdivided: bool
    holes: int = 0

    @property
    def faces(self) -> int:
        """How many polygons there are."""
        return len(self.counts)


def polygons(mesh: Any, time: Any) -> Polygons | None:
    """Return a mesh; None if its numbers do not fit each other.

    Parameters
    ----------
    mesh
        ``UsdGeom.Mesh``.
    time
        ``Usd.TimeCode`` that values are taken at.
    """
    points = _array(mesh.GetPointsAttr(), time).reshape(-1, 3)
    counts = _array(mesh.GetFaceVertexCountsAttr(), time).astype(np.int64).ravel()
    corners = _array(mesh.GetFaceVertexIndicesAttr(), time).astype(np.int64).ravel()
    fits = len(counts) and counts.min() >= 0 and counts.sum() == len(corners)
    if not fits or (len(corners) and not 0 <= corners.min() <= corners.max() < len(points)):
        return None
    holes = _array(mesh.GetHoleIndicesAttr(), time).astype(np.int64).ravel()
    starts = np.cumsum(counts) - counts
    shown = np.ones(len(counts), np.bool_)
    shown[holes[(holes >= 0) & (holes < len(counts))]] = False
    spread = _Spread(len(points), counts, corners)
    subdivided = mesh.GetSubdivisionSchemeAttr().Get(time) != "none"
    left_handed = mesh.GetOrientationAttr().Get(time) == "leftHanded"
    places, colours = {}, None
    for primvar in _primvars(mesh):
        if not primvar.HasValue():
            continue
        name, kind = str(primvar.GetPrimvarName()), str(primvar.GetTypeName())
        if kind in _PLACES:
            held = spread.primvar(primvar, time, 2)
            if held is not None:
                places[name] = held
        elif name == "displayColor":
            colours = spread.primvar(primvar, time, 3)
    normals = _smooth(points, corners, counts, starts, left_handed) if subdivided else None
    if not subdivided:
        normals = _normals(mesh, spread, time)
    return Polygons(
        points=points,
        starts=starts,
        counts=np.where(shown, counts, 0),
        corners=corners,
        normals=normals,
        places=places,
        colours=colours,
        left_handed=left_handed,
        subdivided=subdivided,
        holes=int((~shown).sum()),
    )


def triangulated(found: Polygons, faces: Whole) -> Whole:
    """Return numbers of corners, shape (m, 3), against the clock.

    Convex polygons are cut as fans, the others ear by ear.
    """
    starts, counts = found.starts[faces], found.counts[faces]
    points = found.points[found.corners]
    bent = hollow(points, starts, counts)
    cut: list[Whole] = [
        start + np.array(ears(points[start : start + count]), np.int64)
        for start, count in zip(starts[bent], counts[bent], strict=True)
    ]
    starts, counts = starts[~bent], counts[~bent]
    for step in range(1, int(counts.max(initial=2)) - 1):
        first = starts[counts > step + 1]
        cut.append(np.stack((first, first + step, first + step + 1), axis=1))
    made = np.concatenate(cut) if cut else np.zeros((0, 3), np.int64)
    return made[:, ::-1] if found.left_handed else made


@dataclass(frozen=True, slots=True)
class _Spread:
    """Spreads values over the corners of polygons."""

    points: int
    counts: Whole
    corners: Whole

    def primvar(self, primvar: Any, time: Any, width: int) -> Rows | None:
        values = np.array(primvar.ComputeFlattened(time) or (), np.float64).reshape(-1, width)
        return self.over(values, str(primvar.GetInterpolation()))

    def over(self, values: Rows, interpolation: str) -> Rows | None:
        """Return one row for each corner; None if there are too few or too many."""
        spread = {
            "constant": (1, np.zeros(len(self.corners), np.int64)),
            "uniform": (len(self.counts), np.repeat(np.arange(len(self.counts)), self.counts)),
            "vertex": (self.points, self.corners),
            "varying": (self.points, self.corners),
            "faceVarying": (len(self.corners), np.arange(len(self.corners))),
        }.get(interpolation)
        if spread is None or len(values) != spread[0]:
            return None
        return np.asarray(values[spread[1]])


def _primvars(mesh: Any) -> list[Any]:
    return list(door.UsdGeom.PrimvarsAPI(mesh.GetPrim()).FindPrimvarsWithInheritance())


def _normals(mesh: Any, spread: _Spread, time: Any) -> Rows | None:
    """Return the normals; the primvar of that name rules over the attribute."""
    primvar = door.UsdGeom.PrimvarsAPI(mesh.GetPrim()).GetPrimvar("normals")
    if primvar and primvar.HasValue():
        return spread.primvar(primvar, time, 3)
    given = mesh.GetNormalsAttr()
    if not given.HasValue():
        return None
    return spread.over(_array(given, time).reshape(-1, 3), str(mesh.GetNormalsInterpolation()))


def _smooth(points: Rows, corners: Whole, counts: Whole, starts: Whole, flip: bool) -> Rows:
    """Return normals for the corners of a cage: of each point, the mean of its polygons'."""
    face = np.repeat(np.arange(len(counts)), counts)
    here = points[corners]
    following = np.arange(len(corners)) + 1
    last = starts + counts - 1
    following[last[counts > 0]] = starts[counts > 0]
    part = np.cross(here, points[corners[following]])  # Newell: the sum is the area's normal
    area = np.zeros((len(counts), 3))
    np.add.at(area, face, part)
    total = np.zeros_like(points)
    np.add.at(total, corners, area[face])
    total /= np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-20)
    return np.asarray((-total if flip else total)[corners])


def _array(attribute: Any, time: Any) -> Rows:
    value = attribute.Get(time)
    return np.array(() if value is None else value, np.float64)
