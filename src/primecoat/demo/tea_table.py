"""Three glazed pots on a table in the courtyard, rendered twice: in Rec.709 and in ACEScg.

Every colour that a renderer would multiply is brought to the working space before it is
multiplied, so the two differ as renders do after the switch: not by a matrix alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from primecoat.colour.ocio import convert
from primecoat.demo.courtyard import (
    SKY_IRRADIANCE,
    SUN,
    SUN_IRRADIANCE,
    Courtyard,
    Vectors,
    radiance,
)
from primecoat.demo.noise import Shape
from primecoat.demo.paint import Picture

_EYE = (0.1, 1.42, 2.2)
"""Where the camera stands, in metres: before the table, at the height of the pots' rims."""
_TABLE = 1.0
"""Height of its top, in metres."""
_TABLE_COLOUR = np.array([0.30, 0.17, 0.075], dtype=np.float32)
_GLOSS = 0.04
"""Fresnel reflectance of glaze of index 1.5, seen straight on."""


@dataclass(frozen=True, slots=True)
class _Pot:
    """An ellipsoid: centre and half axes in metres, linear Rec.709 reflectance."""

    centre: tuple[float, float, float]
    axes: tuple[float, float, float]
    colour: tuple[float, float, float]


_POTS = (
    _Pot((-0.42, 1.20, 0.35), (0.24, 0.20, 0.24), (0.42, 0.022, 0.014)),
    _Pot((0.12, 1.16, 0.75), (0.17, 0.16, 0.17), (0.05, 0.27, 0.11)),
    _Pot((0.62, 1.22, 0.30), (0.20, 0.22, 0.20), (0.012, 0.035, 0.40)),
)


def tea_table(court: Courtyard, shape: Shape, space: str) -> Picture:
    """Return the light that reaches the camera, without noise.

    Parameters
    ----------
    court
        The courtyard around.
    shape
        Height and width in pixels.
    space
        Working space of the render, a linear scene-referred Color Interop ID.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 3), float32, in the working space; most is below 1, the sun in the
        glaze far above. Each pixel is the mean of 2 x 2 rays.
    """
    height, width = shape
    fine = _light(court, _rays((2 * height, 2 * width)), space)
    return np.asarray(fine.reshape(height, 2, width, 2, 3).mean(axis=(1, 3)), np.float32)


def _light(court: Courtyard, rays: Vectors, space: str) -> Vectors:
    """Return what each ray brings back: sun, sky and the table's own light on what it meets."""

    def working(light: Vectors) -> Vectors:
        return convert(np.asarray(light, np.float32), "lin_rec709_scene", space)

    eye = np.broadcast_to(np.array(_EYE, np.float32), rays.shape)
    reach, hit = _first_hit(eye, rays)
    place = eye + rays * np.where(np.isfinite(reach), reach, 0.0)[:, None]
    normal = _normals(place, hit)
    ahead = radiance(court, _EYE, rays)
    colours = np.array([*(pot.colour for pot in _POTS), _TABLE_COLOUR], np.float32)

    sun, sky = working(SUN_IRRADIANCE[None]), working(SKY_IRRADIANCE[None])
    albedo = working(colours)
    facing = np.clip(normal @ SUN, 0.0, 1.0)
    facing *= np.isinf(_first_hit(place + normal * 1e-3, np.broadcast_to(SUN, rays.shape))[0])
    above = (0.5 + 0.5 * normal[:, 1])[:, None]
    table = albedo[-1] * (sun * SUN[1] + sky)  # light that the table sends up
    received = sun * facing[:, None] + sky * above + table * (1.0 - above)
    mirrored = rays - 2.0 * np.sum(rays * normal, axis=1, keepdims=True) * normal
    straight = np.clip(-np.sum(rays * normal, axis=1), 0.0, 1.0)
    gloss = (_GLOSS + (1.0 - _GLOSS) * (1.0 - straight) ** 5)[:, None]
    around = working(radiance(court, (0.0, 1.2, 0.5), mirrored))
    pot = (hit < len(_POTS))[:, None]
    lit = albedo[hit] * received / np.pi * np.where(pot, 1.0 - gloss, 1.0)
    lit += np.where(pot, gloss * around, 0.0)
    return np.where(np.isfinite(reach)[:, None], lit, working(ahead))


def _rays(shape: Shape) -> Vectors:
    height, width = shape
    down, across = np.mgrid[0:height, 0:width].astype(np.float32) + np.float32(0.5)
    right = (across / width - 0.5) * 1.0
    up = (0.5 - down / height) * (height / width) - 0.12
    rays = np.stack((right, up, -np.ones_like(right)), axis=-1).reshape(-1, 3)
    return np.asarray(rays / np.linalg.norm(rays, axis=1, keepdims=True), np.float32)


def _first_hit(origin: Vectors, rays: Vectors) -> tuple[Vectors, Vectors]:
    """Return the distance of the first thing met, infinite for none, and its number."""
    reaches = []
    for pot in _POTS:
        axes = np.array(pot.axes, np.float32)
        start, way = (origin - np.array(pot.centre, np.float32)) / axes, rays / axes
        a, b = np.sum(way * way, axis=1), np.sum(start * way, axis=1)
        inside = b * b - a * (np.sum(start * start, axis=1) - 1.0)
        near = (-b - np.sqrt(np.maximum(inside, 0.0))) / a
        reaches.append(np.where((inside > 0.0) & (near > 1e-4), near, np.inf))
    with np.errstate(divide="ignore"):
        top = (_TABLE - origin[:, 1]) / rays[:, 1]
    spot = origin + rays * np.where(np.isfinite(top), top, 0.0)[:, None]
    on_table = (top > 1e-4) & (np.hypot(spot[:, 0], spot[:, 2] - 0.5) < 1.1)
    reaches.append(np.where(on_table, top, np.inf))
    stacked = np.stack(reaches)
    return stacked.min(axis=0), stacked.argmin(axis=0)


def _normals(place: Vectors, hit: Vectors) -> Vectors:
    normals = np.zeros_like(place)
    normals[:, 1] = 1.0
    for number, pot in enumerate(_POTS):
        mine = hit == number
        out = (place[mine] - np.array(pot.centre, np.float32)) / np.square(pot.axes)
        normals[mine] = out / np.linalg.norm(out, axis=1, keepdims=True)
    return np.asarray(normals, np.float32)
