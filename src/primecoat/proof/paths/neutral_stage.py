"""A neutral stage for materials without geometry: a sphere, a cloth and a slab of each."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.proof.paths.model import Camera, Dome, Input, Light, Mesh, Stage, Surface
from primecoat.proof.paths.scenario import Scenario
from primecoat.proof.paths.source import PLAIN_LIGHT, plain_light, sequences
from primecoat.proof.paths.surfaces import (
    Bound,
    Numbers,
    Pictures,
    slots_of,
    surface_of,
    within_ap1,
)
from primecoat.reading.colours import ColourReading

Floats = NDArray[np.float32]
Exact = NDArray[np.float64]

MOST: Final = 12
"""Materials that stand on one stage; more are named and left out."""

_NO_BASE: Final = Input(factor=(0.8, 0.8, 0.8))
_GROUND: Final = Surface(name="ground", base_color=Input(factor=(0.18, 0.18, 0.18)), gloss=0.0)

_WIDE, _DEEP = 3.6, 2.4
"""Room for one material on the ground."""


@dataclass(frozen=True, slots=True)
class _Owner:
    scene: str
    name: str
    bound: tuple[Bound, ...]
    colours: dict[str, ColourReading]


@dataclass(slots=True)
class NeutralSource:
    """A neutral stage; see :class:`primecoat.proof.paths.source.Source`."""

    survey: Survey
    words: str = ""
    notes: tuple[str, ...] = ()
    _pictures: Pictures = field(init=False)
    _owners: tuple[_Owner, ...] = field(init=False)
    _sky: Bound | None = field(init=False)

    def __post_init__(self) -> None:
        self._pictures = Pictures(self.survey)
        every = _owners(self.survey)
        self._owners = every[:MOST]
        self._sky = _environment(self.survey)
        shown = "1 material" if len(self._owners) == 1 else f"{len(self._owners)} materials"
        self.words = f"neutral stage: sphere, cloth and slab of {shown}"
        notes = [] if self._sky else [PLAIN_LIGHT]
        if self._sky:
            notes.append(f"light: {self._sky.image.record.path}, and no other")
        if len(every) > MOST:
            left = ", ".join(one.name for one in every[MOST:])
            notes.append(f"{len(every) - MOST} more materials are not shown: {left}")
        if not every:
            notes.append("no material has a colour or a picture: clay stands there")
        self.notes = (*notes, *sequences(self.survey))

    def stage(self, scenario: Scenario) -> Stage:
        """Return the stage as a scenario reads it."""
        surfaces = [self._surface(one, scenario) for one in self._owners]
        surfaces = surfaces or [Surface(name="clay", base_color=_NO_BASE)]
        columns = max(1, math.ceil(math.sqrt(len(surfaces) * 1.2)))
        rows = math.ceil(len(surfaces) / columns)
        meshes = [_ground(columns * _WIDE, rows * _DEEP)]
        for number, surface in enumerate(surfaces):
            row, column = divmod(number, columns)
            at = ((column - (columns - 1) / 2) * _WIDE, 0.0, (row - (rows - 1) / 2) * _DEEP)
            meshes += _three(surface, np.array(at, np.float32))
        apart = max(columns * _WIDE * 0.92, rows * _DEEP * 1.25) + 0.6
        return Stage(
            meshes=tuple(meshes),
            camera=Camera(
                place=(0.0, apart * 0.5, apart * 0.866),
                target=(0.0, 0.3, 0.0),
                height=0.66,
            ),
            lights=self._lights(scenario),
        )

    def _lights(self, scenario: Scenario) -> tuple[Light, ...]:
        picture = self._pictures.light(self._sky, scenario) if self._sky else None
        if picture is None:
            return plain_light()
        return (Dome(radiance=within_ap1(picture)),)

    def _surface(self, one: _Owner, scenario: Scenario) -> Surface:
        slots = slots_of(list(one.bound))
        metal = "metalness" in slots
        made = surface_of(
            one.name,
            slots,
            one.colours,
            Numbers(
                metalness=1.0 if metal else 0.0,
                roughness=1.0 if "roughness" in slots else 0.0 if "glossiness" in slots else 0.5,
            ),
            self._pictures,
            scenario,
        )
        if "base_color" in slots or "base_color" in one.colours:
            return made
        return Surface(
            name=made.name,
            base_color=_NO_BASE,
            metalness=made.metalness,
            roughness=made.roughness,
            opacity=made.opacity,
            emission=made.emission,
            normal=made.normal,
        )


def _owners(survey: Survey) -> tuple[_Owner, ...]:
    """Return everything that has a picture or a colour of a surface, in the order of the survey."""
    bound: dict[tuple[str, str], list[Bound]] = {}
    colours: dict[tuple[str, str], dict[str, ColourReading]] = {}
    for image in survey.readings.images:
        for use in image.uses:
            held = use.scene_use.use
            if held.slot not in ("environment", "light_color", "backplate"):
                key = use.scene_use.scene.name, held.owner
                bound.setdefault(key, []).append(Bound(image=image, use=use))
    for value in survey.readings.colours:
        if value.value.slot in ("base_color", "emissive") and value.value.count == 1:
            key = value.scene.name, value.value.owner
            colours.setdefault(key, {}).setdefault(value.value.slot, value)
    return tuple(
        _Owner(key[0], key[1], tuple(bound.get(key, ())), colours.get(key, {}))
        for key in dict.fromkeys((*bound, *colours))
    )


def _environment(survey: Survey) -> Bound | None:
    for image in survey.readings.images:
        for use in image.uses:
            held = use.scene_use.use
            header = image.record.header
            if held.slot == "environment" and header and header.width == 2 * header.height:
                return Bound(image=image, use=use)
    return None


def _three(surface: Surface, at: Floats) -> list[Mesh]:
    sphere = _grid(48, 96, _on_a_sphere)
    cloth = _grid(40, 40, _on_a_cloth)
    slab = _slab()
    places = ((-1.15, 0.55, 0.0), (0.05, 0.0, 0.0), (1.15, 0.0, 0.0))
    return [
        Mesh(
            points=(points + np.array(place, np.float32) + at).astype(np.float32),
            triangles=triangles,
            surface=surface,
            normals=normals,
            places=uv,
        )
        for (points, triangles, normals, uv), place in zip(
            (sphere, cloth, slab), places, strict=True
        )
    ]


Shape = tuple[Floats, NDArray[np.int32], Floats, Floats]


def _grid(rows: int, columns: int, place: Callable[[Exact, Exact], Exact]) -> Shape:
    """Return a surface over a grid of places; normals from its own slopes."""
    v, u = np.meshgrid(np.linspace(0, 1, rows + 1), np.linspace(0, 1, columns + 1), indexing="ij")
    points = place(u, v)
    small = 1e-4
    along = place(u + small, v) - place(u - small, v)
    down = place(u, np.clip(v + small, 0, 1)) - place(u, np.clip(v - small, 0, 1))
    normals = np.cross(down, along)
    normals /= np.maximum(np.linalg.norm(normals, axis=-1, keepdims=True), 1e-12)
    number = np.arange((rows + 1) * (columns + 1)).reshape(rows + 1, columns + 1)
    corners = number[:-1, :-1], number[:-1, 1:], number[1:, :-1], number[1:, 1:]
    first = np.stack((corners[0], corners[2], corners[1]), -1).reshape(-1, 3)
    second = np.stack((corners[1], corners[2], corners[3]), -1).reshape(-1, 3)
    return (
        points.reshape(-1, 3).astype(np.float32),
        np.concatenate([first, second]).astype(np.int32),
        normals.reshape(-1, 3).astype(np.float32),
        np.stack((u, v), -1).reshape(-1, 2).astype(np.float32),
    )


def _on_a_sphere(u: Exact, v: Exact) -> Exact:
    down, around = np.pi * np.clip(v, 1e-3, 1 - 1e-3), 2 * np.pi * u
    level = np.sin(down)
    out = np.stack((level * np.sin(around), np.cos(down), level * np.cos(around)), -1)
    return np.asarray(0.5 * out)


def _on_a_cloth(u: Exact, v: Exact) -> Exact:
    """Return a hanging cloth with folds, that runs out on the ground."""
    fold = 0.06 * np.cos(6 * np.pi * u) * (0.4 + 0.6 * v)
    height = 1.1 * (1 - v) ** 1.3 + 0.03
    return np.stack((0.9 * (u - 0.5), height, -0.35 + 0.8 * v**2 + fold), -1)


def _slab() -> Shape:
    """Return a thick tile that leans back a little."""
    faces = []
    half = np.array((0.45, 0.5, 0.06))
    lean = math.radians(-18)
    turn = np.array(
        [[1, 0, 0], [0, math.cos(lean), -math.sin(lean)], [0, math.sin(lean), math.cos(lean)]]
    )
    for axis in range(3):
        for side in (1.0, -1.0):
            out = np.zeros(3)
            out[axis] = side
            up = np.array((0.0, 0.0, -1.0)) if axis == 1 else np.array((0.0, 1.0, 0.0))
            right = np.cross(up, out)
            corners = [out - right + up, out + right + up, out - right - up, out + right - up]
            faces.append((np.array(corners) * half @ turn.T, out @ turn.T))
    points = np.concatenate([corners for corners, _ in faces])
    points[:, 1] -= points[:, 1].min() - 0.01
    order = np.array(((0, 2, 1), (1, 2, 3)))
    uv = np.array(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)))
    return (
        points.astype(np.float32),
        np.concatenate([order + 4 * n for n in range(6)]).astype(np.int32),
        np.repeat([out for _, out in faces], 4, axis=0).astype(np.float32),
        np.tile(uv, (6, 1)).astype(np.float32),
    )


def _ground(width: float, depth: float) -> Mesh:
    x, z = width * 4, depth * 4
    corners = np.array(((-x, 0, -z), (x, 0, -z), (-x, 0, z), (x, 0, z)), np.float32)
    triangles = np.array(((0, 2, 1), (1, 2, 3)), np.int32)
    return Mesh(points=corners, triangles=triangles, surface=_GROUND)
