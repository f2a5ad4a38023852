"""The shapes of the tea set and of what stands round it, in metres."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from primecoat.demo.geometry import (
    Mesh,
    Points,
    lathe,
    placed,
    sheet,
    slab,
    smooth_path,
    tube,
    with_tangents,
)
from primecoat.demo.noise import cloud

# Radius and height of the points a profile runs through: middle inside, rim, foot outside.
_TEAPOT = (
    (0, 0.012),
    (0.055, 0.016),
    (0.082, 0.07),
    (0.058, 0.122),
    (0.042, 0.133),
    (0.047, 0.136),
)
_TEAPOT_OUT = ((0.064, 0.128), (0.09, 0.075), (0.066, 0.018), (0.05, 0.004), (0, 0.004))
_LID = ((0, 0.036), (0.011, 0.033), (0.013, 0.025), (0.007, 0.018), (0.02, 0.013), (0.048, 0))
_CUP = ((0, 0.01), (0.02, 0.011), (0.032, 0.03), (0.0385, 0.062), (0.04, 0.0635))
_CUP_OUT = ((0.0412, 0.062), (0.036, 0.03), (0.025, 0.008), (0.021, 0), (0, 0.002))
_SAUCER = ((0, 0.006), (0.03, 0.006), (0.055, 0.012), (0.075, 0.021), (0.0775, 0.022))
_SAUCER_OUT = ((0.0765, 0.0195), (0.055, 0.008), (0.036, 0), (0, 0.002))
_BOWL = ((0, 0.014), (0.04, 0.018), (0.068, 0.045), (0.0765, 0.074), (0.079, 0.0765))
_BOWL_OUT = ((0.0805, 0.073), (0.072, 0.04), (0.045, 0.011), (0.036, 0), (0, 0.003))
_JAR = ((0, 0.012), (0.042, 0.015), (0.048, 0.05), (0.041, 0.08), (0.0435, 0.083))
_JAR_OUT = ((0.046, 0.079), (0.052, 0.048), (0.044, 0.006), (0.038, 0), (0, 0.002))
_JUG = ((0, 0.01), (0.03, 0.013), (0.039, 0.045), (0.026, 0.088), (0.0335, 0.107), (0.036, 0.109))
_JUG_OUT = ((0.0365, 0.106), (0.03, 0.087), (0.0425, 0.044), (0.032, 0.004), (0, 0.003))
_DISH = ((0, 0.008), (0.034, 0.009), (0.041, 0.026), (0.043, 0.0275))
_DISH_OUT = ((0.0445, 0.025), (0.037, 0.004), (0.03, 0), (0, 0.002))
_JAM = ((0, 0.0235), (0.02, 0.023), (0.0385, 0.021))
_COASTER = ((0, 0.006), (0.046, 0.006), (0.05, 0.004), (0.05, 0.001), (0.046, 0), (0, 0))
_LANTERN = ((0.041, 0.15), (0.044, 0.148), (0.046, 0.09), (0.044, 0.006), (0.041, 0.004))


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A mesh of the scene, with the name of its material."""

    name: str
    material: str
    mesh: Mesh


def _turned(*knots: tuple[float, float], count: int = 44, turns: float = 1.0) -> Mesh:
    return lathe(smooth_path(np.array(knots, dtype=np.float32), count), turns=turns)


def _handle(knots: tuple[tuple[float, float], ...], thick: float, count: int = 28) -> Mesh:
    path = smooth_path(np.array([(x, y, 0) for x, y in knots], dtype=np.float32), count)
    swell = np.sin(np.linspace(0, np.pi, count))
    return tube(path, (thick * (1.25 - 0.3 * swell)).astype(np.float32), repeats=3)


def _spout() -> Mesh:
    knots = np.array([(0.07, 0.05, 0), (0.105, 0.07, 0), (0.122, 0.105, 0), (0.15, 0.128, 0)])
    return tube(
        smooth_path(knots.astype(np.float32), 28), np.linspace(0.021, 0.008, 28, dtype=np.float32)
    )


def _spoon() -> Mesh:
    along = np.linspace(0, 1, 48, dtype=np.float32)
    path = np.stack((along * 0.13, 0.004 + 0.006 * np.sin(np.pi * along), 0 * along), -1)
    bowl = np.exp(-(((along - 0.86) / 0.1) ** 2))
    ends = np.clip(np.sin(np.pi * (0.03 + 0.97 * along)), 0.0, 1) ** 0.3
    mesh = tube(path.astype(np.float32), ((0.0022 + 0.013 * bowl) * ends).astype(np.float32))
    flat = np.diag([1.0, 0.3, 1.0]).astype(np.float32)
    normals = mesh.normals @ np.linalg.inv(flat)
    normals = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    return replace(mesh, positions=mesh.positions @ flat, normals=normals.astype(np.float32))


def _cloth() -> Mesh:
    lift = 0.0006 * cloud((33, 41), 171, 2.0, 2.6)
    return sheet((0.9, 0.7), lift - lift.max() - 0.0005, repeats=(1, 1))


def _floor() -> Mesh:
    """Return the paving; its vertex colours darken it towards the walls."""
    mesh = sheet((8.0, 8.0), np.zeros((17, 17), dtype=np.float32), repeats=(2.5, 2.5))
    near = (4.0 - np.abs(mesh.positions[:, [0, 2]]).max(axis=1, keepdims=True)) / 4.0
    dirt = np.array([[0.42, 0.4, 0.34]])
    colours = dirt + (1 - dirt) * np.clip(near * 3, 0, 1)
    return replace(mesh, colours=colours.astype(np.float32))


def _wall(turned: bool) -> Mesh:
    upright = np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]], dtype=np.float32)
    mesh = placed(
        sheet((8.0, 3.0), np.zeros((2, 2), dtype=np.float32), repeats=(8, 3)), upright, (0, 1.5, -4)
    )
    quarter: Points = np.array([[0, 0, 1], [0, 1, 0], [-1, 0, 0]], dtype=np.float32)
    return placed(mesh, quarter, (0, 0, 0)) if turned else mesh


def _leaf() -> Mesh:
    along = np.linspace(-1, 1, 9, dtype=np.float32)
    lift = 0.006 * along[:, None] ** 2 + 0.003 * along[None, :] ** 2
    return sheet((0.05, 0.05), lift.astype(np.float32))


def parts() -> tuple[Part, ...]:
    """Return all meshes of the scene."""
    return tuple(
        Part(name=name, material=material, mesh=with_tangents(mesh))
        for name, material, mesh in (
            ("teapot body", "celadon glaze", _turned(*_TEAPOT, *_TEAPOT_OUT, count=64, turns=2)),
            ("teapot lid", "celadon glaze", _turned(*_LID)),
            ("teapot spout", "celadon glaze", _spout()),
            (
                "teapot handle",
                "brass",
                _handle(((-0.08, 0.1), (-0.125, 0.12), (-0.13, 0.06), (-0.078, 0.04)), 0.006),
            ),
            ("spoon", "brass", _spoon()),
            ("cup", "cobalt porcelain", _turned(*_CUP, *_CUP_OUT)),
            (
                "cup handle",
                "cobalt porcelain",
                _handle(((0.038, 0.05), (0.06, 0.052), (0.058, 0.025), (0.033, 0.02)), 0.0032),
            ),
            ("saucer", "stoneware", _turned(*_SAUCER, *_SAUCER_OUT)),
            ("bowl", "tenmoku glaze", _turned(*_BOWL, *_BOWL_OUT)),
            ("sugar jar", "turquoise glaze", _turned(*_JAR, *_JAR_OUT)),
            ("jam dish", "cobalt porcelain", _turned(*_DISH, *_DISH_OUT)),
            ("jam", "jam", _turned(*_JAM, count=12)),
            ("milk jug", "plum glaze", _turned(*_JUG, *_JUG_OUT)),
            ("coaster", "cork", _turned(*_COASTER, count=20, turns=2)),
            ("lantern glass", "lantern glass", _turned(*_LANTERN, count=20)),
            ("tray", "oak", slab((0.52, 0.016, 0.34))),
            ("cloth", "linen", _cloth()),
            ("table", "oak", slab((1.1, 0.04, 0.8))),
            ("leaf", "bay leaf", _leaf()),
            ("floor", "paving", _floor()),
            ("wall ahead", "brick wall", _wall(turned=False)),
            ("wall beside", "brick wall", _wall(turned=True)),
        )
    )
