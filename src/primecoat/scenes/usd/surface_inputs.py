"""The numbers of a surface's shader that are no colour, and how pictures lie on it.

Sources: *UsdPreviewSurface Specification* 2.5; MaterialX 1.39, node definitions of
``gltf_pbr``, ``standard_surface`` and ``open_pbr_surface``, whose default values stand here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.scenes.usd import door
from primecoat.scenes.usd.shaders import category_of, is_texture
from primecoat.scenes.usd.walk import identifier_of
from primecoat.scenes.wrapping import MATERIALX, REPEATED, USD, Wraps

Rows = NDArray[np.float64]

_CONTEXTS = ("", "mtlx")

DEFAULTS: Final[dict[str, dict[str, tuple[str, float]]]] = {
    "UsdPreviewSurface": {
        "base": ("diffuseColor", 0.18),
        "metalness": ("metallic", 0.0),
        "roughness": ("roughness", 0.5),
        "opacity": ("opacity", 1.0),
        "cut_off": ("opacityThreshold", 0.0),
        "ior": ("ior", 1.5),
    },
    "gltf_pbr": {
        "base": ("base_color", 1.0),
        "metalness": ("metallic", 1.0),
        "roughness": ("roughness", 1.0),
        "opacity": ("alpha", 1.0),
        "cut_off": ("alpha_cutoff", 0.5),
        "ior": ("ior", 1.5),
        "gloss": ("specular", 1.0),
        "emission": ("emissive_strength", 1.0),
    },
    "standard_surface": {
        "base": ("base_color", 0.8),
        "weight": ("base", 1.0),
        "metalness": ("metalness", 0.0),
        "roughness": ("specular_roughness", 0.2),
        "opacity": ("opacity", 1.0),
        "ior": ("specular_IOR", 1.5),
        "gloss": ("specular", 1.0),
        "emission": ("emission", 0.0),
    },
    "open_pbr_surface": {
        "base": ("base_color", 0.8),
        "weight": ("base_weight", 1.0),
        "metalness": ("base_metalness", 0.0),
        "roughness": ("specular_roughness", 0.3),
        "opacity": ("geometry_opacity", 1.0),
        "ior": ("specular_ior", 1.5),
        "gloss": ("specular_weight", 1.0),
        "emission": ("emission_luminance", 0.0),
    },
}
"""Inputs by what they are for: name and default."""

_OTHERS = {"normal", "geometry_normal", "emissiveColor", "emissive", "emission_color"}

_BEYOND = {
    "UsdPreviewSurface": ("useSpecularWorkflow", "clearcoat", "displacement"),
    "gltf_pbr": ("transmission", "clearcoat", "sheen_color", "iridescence", "specular_color"),
    "standard_surface": (
        *("coat", "sheen", "subsurface", "transmission", "thin_film_thickness", "specular_color"),
    ),
    "open_pbr_surface": (
        *("coat_weight", "fuzz_weight", "subsurface_weight", "transmission_weight"),
        *("thin_film_weight", "specular_color"),
    ),
}
"""Inputs that are not traced; told where they are set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceInputs:
    """A material.

    Parameters
    ----------
    path, surface
        Of the material and of its surface shader, as the survey names them.
    name
        As people call it.
    kind
        Node category of the shader; empty if there is none that is followed.
    numbers
        By what they are for; those that are connected are left out.
    connected
        What is connected, by what it is for; ``normal`` and ``emissive`` too.
    places
        Name of the texture coordinates.
    turn, shift
        What texture coordinates are changed by: rows times ``turn`` plus ``shift``.
    wraps
        What the picture that feeds an input shows beyond its edges, by the input's name.
    unfollowed
        What is not traced.
    """

    path: str
    surface: str
    name: str
    kind: str
    numbers: dict[str, float] = field(default_factory=dict)
    connected: frozenset[str] = frozenset()
    places: str = "st"
    turn: Rows = field(default_factory=lambda: np.eye(2))
    shift: Rows = field(default_factory=lambda: np.zeros(2))
    wraps: dict[str, Wraps] = field(default_factory=dict)
    unfollowed: tuple[str, ...] = ()

    def feeds(self, name: str) -> bool:
        """Whether an input of the shader is that of what is traced, not of a coat or sheen."""
        main = {given for given, _ in DEFAULTS[self.kind].values()} if self.kind else set()
        return name.removeprefix("inputs:") in main | _OTHERS


def surface_inputs(material: Any, time: Any, path: Callable[[Any], str]) -> SurfaceInputs:
    """Return what a material says.

    Parameters
    ----------
    material
        ``UsdShade.Material``.
    path
        Gives a prim's path as the survey names it.
    """
    prim = material.GetPrim()
    at, name = path(prim), str(prim.GetMetadata("displayName") or prim.GetName())
    for context in _CONTEXTS:
        shader = material.ComputeSurfaceSource(context)[0]
        if not shader:
            continue
        kind = category_of(identifier_of(shader.GetPrim()))
        if kind in DEFAULTS:
            return _read(shader, kind, at, name, time, path)
        words = f"the surface {kind or 'of a file'} is not followed: {name} is plain grey"
        return SurfaceInputs(path=at, surface="", name=name, kind="", unfollowed=(words,))
    words = f"{name} has no surface: it is plain grey"
    return SurfaceInputs(path=at, surface="", name=name, kind="", unfollowed=(words,))


def _read(
    shader: Any, kind: str, at: str, name: str, time: Any, path: Callable[[Any], str]
) -> SurfaceInputs:
    numbers: dict[str, float] = {}
    connected: set[str] = set()
    left: list[str] = []
    for purpose, (given, default) in DEFAULTS[kind].items():
        source, value = _standing(shader, given, time)
        if source is not None:
            connected.add(purpose)
        else:
            numbers[purpose] = default if value is None else float(np.mean(value))
    for other in _OTHERS:
        if _standing(shader, other, time)[0] is not None:
            connected.add("normal" if "normal" in other else "emissive")
    if kind == "gltf_pbr" and int(_standing(shader, "alpha_mode", time)[1] or 0) == 0:
        numbers["opacity"] = 1.0
        connected.discard("opacity")
    if kind == "gltf_pbr" and int(_standing(shader, "alpha_mode", time)[1] or 0) != 1:
        numbers["cut_off"] = 0.0
    for beyond in _BEYOND[kind]:
        source, value = _standing(shader, beyond, time)
        plain = 1.0 if beyond == "specular_color" else 0.0
        if source is not None or (value is not None and bool(np.any(np.asarray(value) != plain))):
            left.append(f"{beyond} is not traced ({name})")
    textures = [prim for prim in _above(shader) if is_texture(category_of(identifier_of(prim)))]
    laid: dict[str, tuple[str, list[list[float]], list[float]]] = {}
    for prim in textures:
        placing = _placing(door.UsdShade.Shader(prim), time)
        laid[repr(placing)] = placing
        left += [f"{words} ({name})" for words in _scaled(door.UsdShade.Shader(prim), time)]
    places, turn, shift = next(iter(laid.values()), ("st", [[1.0, 0.0], [0.0, 1.0]], [0.0, 0.0]))
    if len(laid) > 1:
        left.append(f"the pictures of {name} lie in different ways: all as the first of them")
    return SurfaceInputs(
        path=at,
        surface=path(shader.GetPrim()),
        name=name,
        kind=kind,
        numbers=numbers,
        connected=frozenset(connected),
        places=places,
        turn=np.asarray(turn),
        shift=np.asarray(shift),
        wraps=_wraps(shader, time),
        unfollowed=tuple(dict.fromkeys(left)),
    )


def _standing(shader: Any, name: str, time: Any) -> tuple[Any, Any]:
    """Return the shader that feeds an input, or else the value that it has."""
    given = shader.GetInput(name)
    if not given:
        return None, None
    for attribute in given.GetValueProducingAttributes():
        if attribute.GetName().startswith("outputs:"):
            return attribute.GetPrim(), None
        return None, attribute.Get(time)
    return None, None


def _above(shader: Any) -> Iterator[Any]:
    """Yield the shaders that feed a shader, nearest first, those of the base colour before all."""
    waiting, met = [shader.GetPrim()], set()
    while waiting:
        prim = waiting.pop(0)
        if prim.GetPath() in met:
            continue
        met.add(prim.GetPath())
        yield prim
        inputs = door.UsdShade.Shader(prim).GetInputs()
        order = sorted(inputs, key=lambda i: i.GetBaseName() not in ("diffuseColor", "base_color"))
        for given in order:
            for attribute in given.GetValueProducingAttributes():
                if attribute.GetName().startswith("outputs:"):
                    waiting.append(attribute.GetPrim())


def _placing(texture: Any, time: Any) -> tuple[str, list[list[float]], list[float]]:
    """Return how a picture lies: texture coordinates, and what they are changed by."""
    turn, shift = np.eye(2), np.zeros(2)
    name = "st"
    prim, _ = _standing(texture, "st", time)
    if prim is None:
        prim, _ = _standing(texture, "texcoord", time)
    for _ in range(8):
        if prim is None:
            break
        shader, kind = door.UsdShade.Shader(prim), category_of(identifier_of(prim))
        if kind == "UsdTransform2d":
            own, moved = _transform(shader, time)
            turn, shift = own @ turn, moved @ turn + shift
            prim, _ = _standing(shader, "in", time)
            continue
        _, said = _standing(shader, "varname", time)
        if said is None:
            _, said = _standing(shader, "geomprop", time)
        name = str(said or "st")
        break
    return ("st" if name == "UV0" else name), turn.tolist(), shift.tolist()


def _transform(shader: Any, time: Any) -> tuple[Rows, Rows]:
    """Return a UsdTransform2d: scale, then turn against the clock, then shift (rows)."""

    def value(name: str, default: Any) -> Any:
        _, said = _standing(shader, name, time)
        return default if said is None else said

    angle = math.radians(float(value("rotation", 0.0)))
    scale = np.array(value("scale", (1.0, 1.0)), np.float64)
    around = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    return np.diag(scale) @ around, np.array(value("translation", (0.0, 0.0)), np.float64)


def _wraps(shader: Any, time: Any) -> dict[str, Wraps]:
    """Return how the picture that feeds each input goes on beyond its edges."""
    found: dict[str, Wraps] = {}
    for given in shader.GetInputs():
        source, _ = _standing(shader, given.GetBaseName(), time)
        for prim in _above(door.UsdShade.Shader(source)) if source is not None else ():
            if is_texture(category_of(identifier_of(prim))):
                found[given.GetBaseName()] = _wrapping(door.UsdShade.Shader(prim), time)
                break
    return found


def _wrapping(texture: Any, time: Any) -> Wraps:
    def said(name: str, other: str) -> Any:
        word = str(_standing(texture, name, time)[1] or "")
        return USD.get(word) or MATERIALX.get(str(_standing(texture, other, time)[1] or ""))

    return (
        said("wrapS", "uaddressmode") or REPEATED[0],
        said("wrapT", "vaddressmode") or REPEATED[1],
    )


def _scaled(texture: Any, time: Any) -> Iterator[str]:
    """Tell a scale or bias that is not that of a normal map."""
    _, scale = _standing(texture, "scale", time)
    _, bias = _standing(texture, "bias", time)
    rows = [np.array(v, np.float64)[:3].tolist() for v in (scale, bias) if v is not None]
    plain = [[1.0] * 3, [0.0] * 3]
    if identifier_of(texture.GetPrim()) != "UsdUVTexture" or rows == [[2.0] * 3, [-1.0] * 3]:
        return
    if any(row not in plain for row in rows):
        yield f"scale and bias of {texture.GetPrim().GetName()} are not traced"
