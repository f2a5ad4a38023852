"""The stage of a glTF scene: its own triangles, camera, punctual lights and factors."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.proof.paths.model import (
    Camera,
    Distant,
    Input,
    Light,
    Mesh,
    Point,
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
from primecoat.proof.paths.surfaces import Bound, Numbers, Pictures, slots_of, surface_of
from primecoat.reading.colours import ColourReading
from primecoat.scenes.formats.gltf import opened
from primecoat.scenes.gltf_buffers import Buffers
from primecoat.scenes.gltf_document import GltfDocument, as_dict, within
from primecoat.scenes.gltf_geometry import Geometry, Placed, Standing, geometry
from primecoat.scenes.model import Scene
from primecoat.scenes.wrapping import GLTF, REPEATED, Wraps

_OLD_MODEL = "KHR_materials_pbrSpecularGlossiness"

_PLAIN = Surface(name="plain", base_color=Input(factor=(0.8, 0.8, 0.8)))
"""Where no material is named."""

_FOLLOWED = {
    *(_OLD_MODEL, "KHR_materials_emissive_strength", "KHR_texture_transform"),
    *("KHR_materials_specular", "KHR_materials_ior"),
}
"""Extensions of a material that are traced, in part at least, or change little."""


@dataclass(slots=True)
class GltfSource:
    """A glTF scene with geometry; see :class:`primecoat.proof.paths.source.Source`."""

    survey: Survey
    scene: Scene
    words: str = ""
    notes: tuple[str, ...] = ()
    _pictures: Pictures = field(init=False)
    _document: GltfDocument = field(init=False)
    _found: Geometry = field(init=False)

    def __post_init__(self) -> None:
        self._pictures = Pictures(self.survey)
        self._document = opened(self.scene.path, self.scene.name)
        self._found = geometry(self._document, Buffers(self._document))
        triangles = sum(len(one.triangles) for one in self._found.placed)
        self.words = f"{self.scene.name}: {triangles} triangles"
        self.notes = (*self._found.unfollowed, *sequences(self.survey), *self._left_out())

    @property
    def empty(self) -> bool:
        """Whether the scene has no triangles."""
        return not self._found.placed

    def stage(self, scenario: Scenario) -> Stage:
        """Return the stage as a scenario reads it."""
        surfaces = [self._surface(index, scenario) for index in range(len(self._materials))]
        meshes = tuple(
            self._mesh(one, _PLAIN if one.material is None else surfaces[one.material], scenario)
            for one in self._found.placed
        )
        lights = tuple(self._light(one, scenario) for one in self._found.lights)
        if not lights and not any(any(s.emission.factor) for s in surfaces):
            lights = plain_light()
        cameras = self._found.cameras
        return Stage(
            meshes=meshes,
            camera=_camera(cameras[0]) if cameras else camera_for(meshes),
            lights=lights,
        )

    @property
    def _materials(self) -> list[dict[str, Any]]:
        return self._document.items("materials")

    def _surface(self, index: int, scenario: Scenario) -> Surface:
        material = self._materials[index]
        old = _OLD_MODEL in as_dict(material.get("extensions"))
        name = str(material.get("name", f"material {index}"))
        slots = slots_of(
            [
                Bound(image=image, use=use, wraps=self._wraps(use.scene_use.use.location.place))
                for image in self.survey.readings.images
                for use in image.uses
                if self._is_here(use.scene_use.use.location, index, old)
            ]
        )
        colours: dict[str, ColourReading] = {}
        for value in self.survey.readings.colours:
            if value.scene.path == self.scene.path and self._is_here(
                value.value.location, index, old
            ):
                colours.setdefault(value.value.slot, value)
        if "emissive" not in colours:  # the standard's default is black
            slots.pop("emissive", None)
        return surface_of(name, slots, colours, _numbers(material, old), self._pictures, scenario)

    def _wraps(self, place: str) -> Wraps:
        """Return what the sampler of a texture says of places beyond the picture."""
        held: Any = self._document.root
        for part in place.split("/")[1:]:
            held = held[int(part)] if isinstance(held, list) else as_dict(held).get(part)
        textures, samplers = (self._document.items(key) for key in ("textures", "samplers"))
        index = as_dict(held).get("index")
        number = textures[index].get("sampler") if within(index, textures) else None
        if not within(number, samplers):
            return REPEATED
        across, down = (samplers[number].get(key, 10497) for key in ("wrapS", "wrapT"))
        return GLTF.get(across, "repeat"), GLTF.get(down, "repeat")

    def _is_here(self, location: Any, index: int, old: bool) -> bool:
        start = f"/materials/{index}/"
        if location.file != self.scene.name or not location.place.startswith(start):
            return False
        rest = location.place[len(start) :]
        if old and rest.startswith("pbrMetallicRoughness"):
            return False
        return not rest.startswith("extensions/") or (old and _OLD_MODEL in rest)

    def _mesh(self, one: Placed, surface: Surface, scenario: Scenario) -> Mesh:
        places = one.places
        if places is not None and one.material is not None:
            places = _turned_places(places, self._materials[one.material])
        return Mesh(
            points=one.points.astype(np.float32),
            triangles=one.triangles,
            surface=surface,
            normals=None if one.normals is None else one.normals.astype(np.float32),
            places=None if places is None else places.astype(np.float32),
            tints=self._tints(one, scenario),
        )

    def _tints(self, one: Placed, scenario: Scenario) -> NDArray[np.float32] | None:
        if one.colours is None:
            return None
        for value in self.survey.readings.colours:
            location = value.value.location
            if location.file == self.scene.name and location.place == one.colours_at:
                return self._pictures.rows(one.colours, value, scenario)
        return one.colours.astype(np.float32)

    def _light(self, one: Standing, scenario: Scenario) -> Light:
        place = f"/extensions/KHR_lights_punctual/lights/{one.number}/color"
        colour: Triple = (1.0, 1.0, 1.0)
        for value in self.survey.readings.lights:
            location = value.value.location
            if location.file == self.scene.name and location.place == place:
                colour = self._pictures.lamp(value, scenario)
        power = float(one.content.get("intensity", 1.0))
        bright = (colour[0] * power, colour[1] * power, colour[2] * power)
        ahead = _unit(one.matrix[:3, :3] @ np.array((0.0, 0.0, -1.0)))
        if one.content.get("type") == "directional":
            return Distant(toward=(-ahead[0], -ahead[1], -ahead[2]), irradiance=bright)
        at = _triple(one.matrix[:3, 3])
        if one.content.get("type") != "spot":
            return Point(place=at, intensity=bright)
        cone = as_dict(one.content.get("spot"))
        return Point(
            place=at,
            intensity=bright,
            axis=ahead,
            inner=math.cos(float(cone.get("innerConeAngle", 0.0))),
            outer=math.cos(float(cone.get("outerConeAngle", math.pi / 4))),
        )

    def _left_out(self) -> tuple[str, ...]:
        named: dict[str, list[str]] = {}
        for index, material in enumerate(self._materials):
            for extension in as_dict(material.get("extensions")):
                if extension not in _FOLLOWED:
                    owner = str(material.get("name", f"material {index}"))
                    named.setdefault(extension, []).append(owner)
        found = [f"{name} is not traced ({', '.join(who)})" for name, who in named.items()]
        if self._document.extension_items("EXT_lights_image_based", "lights"):
            found.append("the image-based light is not traced")
        if not self._found.lights:
            found.append(PLAIN_LIGHT)
        if not self._found.cameras:
            found.append("no camera in the scene: one that sees all of it")
        return tuple(found)


def _numbers(material: dict[str, Any], old: bool) -> Numbers:
    more = as_dict(material.get("extensions"))
    rough = as_dict(material.get("pbrMetallicRoughness"))
    base = as_dict(more.get(_OLD_MODEL)).get("diffuseFactor") if old else None
    base = base or rough.get("baseColorFactor") or (1.0, 1.0, 1.0, 1.0)
    mode = material.get("alphaMode", "OPAQUE")
    strength = as_dict(more.get("KHR_materials_emissive_strength")).get("emissiveStrength", 1.0)
    gloss = float(as_dict(more.get("KHR_materials_specular")).get("specularFactor", 1.0))
    index = float(as_dict(more.get("KHR_materials_ior")).get("ior", 1.5))
    if old:
        glossiness = float(as_dict(more[_OLD_MODEL]).get("glossinessFactor", 1.0))
        metalness, roughness = 0.0, 1.0 - glossiness
    else:
        metalness = float(rough.get("metallicFactor", 1.0))
        roughness = float(rough.get("roughnessFactor", 1.0))
    return Numbers(
        metalness=metalness,
        roughness=roughness,
        opacity=float(base[3]) if mode != "OPAQUE" and len(base) > 3 else 1.0,
        cut_off=float(material.get("alphaCutoff", 0.5)) if mode == "MASK" else None,
        normal_scale=float(as_dict(material.get("normalTexture")).get("scale", 1.0)),
        emission_strength=float(strength),
        gloss=0.0 if index == 1.0 else gloss,  # nothing mirrors where nothing changes
        mirrored=toward_light(index),
    )


def _turned_places(places: NDArray[np.float64], material: dict[str, Any]) -> NDArray[np.float64]:
    """Return places as the base colour's texture transform, or else the normal map's, has them."""
    rough = as_dict(material.get("pbrMetallicRoughness"))
    for texture in (rough.get("baseColorTexture"), material.get("normalTexture")):
        if not isinstance(texture, dict):
            continue
        given = as_dict(as_dict(texture.get("extensions")).get("KHR_texture_transform"))
        if not given:
            return places
        turn = float(given.get("rotation", 0.0))
        around = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
        scaled = places * np.array(given.get("scale", (1.0, 1.0)), np.float64)
        return np.asarray(scaled @ around.T) + np.array(given.get("offset", (0.0, 0.0)), np.float64)
    return places


def _camera(one: Standing) -> Camera:
    turned = one.matrix[:3, :3]
    place = one.matrix[:3, 3]
    target = place + np.array(_unit(turned @ np.array((0.0, 0.0, -1.0))))
    lens = as_dict(one.content.get("perspective"))
    return Camera(
        place=_triple(place),
        target=_triple(target),
        height=2.0 * math.tan(float(lens.get("yfov", 0.6)) / 2.0),
        up=_unit(turned @ np.array((0.0, 1.0, 0.0))),
    )


def _unit(way: NDArray[np.float64]) -> Triple:
    return _triple(way / max(1e-12, float(np.linalg.norm(way))))


def _triple(row: NDArray[np.float64]) -> Triple:
    return float(row[0]), float(row[1]), float(row[2])
