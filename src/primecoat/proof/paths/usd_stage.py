"""The stage of an OpenUSD scene: its own triangles, camera, lights and materials."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.location import Location
from primecoat.proof.paths.model import (
    Area,
    Camera,
    Distant,
    Dome,
    Input,
    Light,
    Mesh,
    Point,
    Shape,
    Stage,
    Surface,
    Triple,
)
from primecoat.proof.paths.scenario import Scenario
from primecoat.proof.paths.source import (
    PLAIN_LIGHT,
    camera_for,
    plain_light,
    sequences,
    toward_light,
)
from primecoat.proof.paths.surfaces import (
    Bound,
    Numbers,
    Pictures,
    slots_of,
    surface_of,
    within_ap1,
)
from primecoat.proof.paths.turned_sky import turned_sky
from primecoat.reading.colours import ColourReading
from primecoat.scenes.model import Scene
from primecoat.scenes.usd.geometry import Geometry, Placed, Standing, geometry
from primecoat.scenes.usd.standing_lights import Lamp
from primecoat.scenes.usd.surface_inputs import SurfaceInputs
from primecoat.scenes.wrapping import REPEATED

Rows = NDArray[np.float64]

_GREY: Final = (0.18, 0.18, 0.18)
_NO_MATERIAL: Final = Surface(name="", base_color=Input(factor=_GREY), gloss=0.0)
_SHAPES: Final[dict[str, Shape]] = {
    "RectLight": "rectangle",
    "DiskLight": "disk",
    "SphereLight": "sphere",
    "CylinderLight": "cylinder",
}
_CHOICE = re.compile(r"\{([^=}]*)=([^}]*)\}")


@dataclass(slots=True)
class UsdSource:
    """An OpenUSD scene with geometry; see :class:`primecoat.proof.paths.source.Source`."""

    survey: Survey
    scene: Scene
    words: str = ""
    notes: tuple[str, ...] = ()
    _pictures: Pictures = field(init=False)
    _found: Geometry = field(init=False)

    def __post_init__(self) -> None:
        self._pictures = Pictures(self.survey)
        roots = self.survey.readings.inventory.roots
        self._found = geometry(self.scene.path, self.scene.name, roots)
        found = self._found
        triangles = sum(len(one.points) for one in found.placed)
        self.words = f"{self.scene.name}: {triangles} triangles"
        notes = [*found.unfollowed]
        for material in found.materials.values():
            notes += material.unfollowed
        skies = [one for one in found.lamps if one.kind.startswith("DomeLight")]
        notes += [f"the dome {one.path} is not traced beside the first" for one in skies[1:]]
        if not found.lamps:
            notes.append(PLAIN_LIGHT)
        if not found.cameras:
            notes.append("no camera in the scene: one that sees all of it")
        self.notes = tuple(dict.fromkeys((*notes, *sequences(self.survey))))

    @property
    def empty(self) -> bool:
        """Whether the scene has no triangles."""
        return not self._found.placed

    def stage(self, scenario: Scenario) -> Stage:
        """Return the stage as a scenario reads it."""
        surfaces = {
            path: self._surface(material, scenario)
            for path, material in self._found.materials.items()
        }
        meshes = tuple(self._mesh(one, surfaces, scenario) for one in self._found.placed)
        lights = self._lights(scenario)
        if not lights and not any(any(s.emission.factor) for s in surfaces.values()):
            lights = plain_light()
        cameras = self._found.cameras
        return Stage(
            meshes=meshes,
            camera=_camera(cameras[0]) if cameras else camera_for(meshes),
            lights=lights,
        )

    def _is_here(self, location: Location) -> str | None:
        """Return the path of a place without its variants; None if they are not selected."""
        if location.file != self.scene.name:
            return None
        place = location.place.partition("/time/")[0]
        at = 0
        plain = ""
        for match in _CHOICE.finditer(place):
            plain += place[at : match.start()]
            at = match.end()
            if (plain.rstrip("/"), match[1], match[2]) not in self._found.selected:
                return None
            if place[at : at + 1] not in ("/", ".", "{", ""):
                plain += "/"
        return plain + place[at:]

    def _surface(self, material: SurfaceInputs, scenario: Scenario) -> Surface:
        if not material.kind:
            return replace(_NO_MATERIAL, name=material.name)
        bound = []
        for image in self.survey.readings.images:
            for use in image.uses:
                at = self._is_here(use.scene_use.use.location)
                home, _, name = (at or "").partition(".")
                if home == material.surface and material.feeds(name):
                    wraps = material.wraps.get(name.removeprefix("inputs:"), REPEATED)
                    bound.append(Bound(image=image, use=use, wraps=wraps))
        slots = slots_of(bound)
        colours: dict[str, ColourReading] = {}
        for value in self.survey.readings.colours:
            at = self._is_here(value.value.location)
            if at is None or not at.startswith(f"{material.path}/") or value.value.exception:
                continue
            if at.partition(".")[0] == material.surface and value.value.slot in slots:
                continue  # what is connected rules over a value
            colours.setdefault(value.value.slot, value)
        emits = "emissive" in slots or "emissive" in colours
        made = surface_of(
            material.name, slots, colours, _numbers(material, slots), self._pictures, scenario
        )
        said = material.numbers
        base = made.base_color
        if "base_color" not in slots and "base_color" not in colours:
            known = "base" not in material.connected
            base = Input(factor=(said["base"],) * 3 if known else _GREY)
        weight = said.get("weight", 1.0)
        base = replace(base, factor=tuple(weight * part for part in base.factor))
        dark = Input(factor=(0.0, 0.0, 0.0))
        return replace(made, base_color=base, emission=made.emission if emits else dark)

    def _mesh(self, one: Placed, surfaces: dict[str, Surface], scenario: Scenario) -> Mesh:
        surface, places, tints = _NO_MATERIAL, None, None
        if one.material:
            surface = surfaces[one.material]
            material = self._found.materials[one.material]
            places = one.places.get(material.places)
            if places is None and material.places == "st" and len(one.places) == 1:
                (places,) = one.places.values()
            if places is not None:
                turned = places.reshape(-1, 2) @ material.turn + material.shift
                places = np.stack((turned[:, 0], 1.0 - turned[:, 1]), axis=1)
        elif one.colours is not None:
            surface = replace(_NO_MATERIAL, base_color=Input(factor=(1.0, 1.0, 1.0)))
            tints = self._tints(one, scenario)
        return Mesh(
            points=one.points.reshape(-1, 3).astype(np.float32),
            triangles=np.arange(3 * len(one.points), dtype=np.int32).reshape(-1, 3),
            surface=surface,
            normals=_flat(one.normals),
            places=None if places is None else places.astype(np.float32),
            tints=tints,
        )

    def _tints(self, one: Placed, scenario: Scenario) -> NDArray[np.float32]:
        assert one.colours is not None  # asked for meshes with colours only
        rows = one.colours.reshape(-1, 3)
        for value in self.survey.readings.colours:
            if self._is_here(value.value.location) == one.colours_at:
                return self._pictures.rows(rows, value, scenario)
        return rows.astype(np.float32)

    def _lights(self, scenario: Scenario) -> tuple[Light, ...]:
        made: list[Light] = []
        for one in self._found.lamps:
            sky = one.kind.startswith("DomeLight")
            if sky and any(isinstance(light, Dome) for light in made):
                continue
            colour: Triple = (1.0, 1.0, 1.0)
            for value in self.survey.readings.lights:
                if self._is_here(value.value.location) == f"{one.path}.inputs:color":
                    colour = self._pictures.lamp(value, scenario)
            red, green, blue = (one.radiance * part for part in colour)
            bright = red, green, blue
            made.append(self._sky(one, bright, scenario) if sky else _lamp(one, bright))
        return tuple(made)

    def _sky(self, one: Lamp, bright: Triple, scenario: Scenario) -> Dome:
        picture = np.ones((8, 16, 3), np.float32)
        for image in self.survey.readings.images:
            for use in image.uses:
                at = self._is_here(use.scene_use.use.location)
                if one.texture and at is not None and at.partition(".")[0] == one.path:
                    found = self._pictures.light(Bound(image=image, use=use), scenario)
                    picture = picture if found is None else within_ap1(found)
        lit = picture * np.array(bright, np.float32)
        return Dome(radiance=turned_sky(lit.astype(np.float32), one.axes))


def _numbers(material: SurfaceInputs, slots: dict[str, Bound]) -> Numbers:
    """Return what is no colour; 1 where a picture is connected, which it multiplies."""
    said = material.numbers
    index = said.get("ior", 1.5)
    gloss = said.get("gloss", 1.0)

    def number(purpose: str, slot: str, default: float) -> float:
        return 1.0 if slot in slots else said.get(purpose, default)

    rough = 0.0 if "glossiness" in slots else number("roughness", "roughness", 0.5)
    cut = said.get("cut_off", 0.0)
    return Numbers(
        metalness=number("metalness", "metalness", 0.0),
        roughness=rough,
        opacity=number("opacity", "opacity", 1.0),
        cut_off=cut if cut > 0.0 else None,
        emission_strength=said.get("emission", 1.0),
        gloss=0.0 if index == 1.0 else gloss,  # nothing mirrors where nothing changes
        mirrored=toward_light(index),
    )


def _lamp(one: Lamp, bright: Triple) -> Light:
    behind = one.axes[2] / max(1e-30, float(np.linalg.norm(one.axes[2])))
    if one.kind == "DistantLight":
        return Distant(toward=_triple(behind), irradiance=bright)
    if one.point:
        inner, outer = one.cone or (0.0, 0.0)
        return Point(
            place=_triple(one.place),
            intensity=bright,
            axis=_triple(-behind) if one.cone else None,
            inner=float(np.cos(inner)),
            outer=float(np.cos(outer)),
            by_angle=True,
        )
    along = one.axes[0] if one.kind == "SphereLight" else one.axes[1]
    return Area(
        shape=_SHAPES[one.kind],
        place=_triple(one.place),
        across=_triple(one.axes[0] * one.size[0]),
        along=_triple(along * one.size[1]),
        radiance=bright,
    )


def _camera(one: Standing) -> Camera:
    return Camera(
        place=_triple(one.place),
        target=_triple(one.place + one.ahead),
        height=one.height,
        up=_triple(one.up),
    )


def _flat(rows: Rows | None) -> NDArray[np.float32] | None:
    return None if rows is None else rows.reshape(-1, 3).astype(np.float32)


def _triple(row: Rows) -> Triple:
    return float(row[0]), float(row[1]), float(row[2])
