"""Small stages for the tests of light paths."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.carried import Carried
from primecoat.proof.paths.model import Camera, Dome, Light, Mesh, Stage, Surface
from primecoat.proof.paths.trace import prepare, trace

CAMERA = Camera(place=(0.0, 0.0, 3.0), target=(0.0, 0.0, 0.0), height=1.0)
WHITE = Dome(radiance=np.ones((16, 32, 3), np.float32))


def ball(surface: Surface, radius: float = 1.0, rows: int = 64) -> Mesh:
    """Return a ball about the origin."""
    down, around = np.meshgrid(
        np.linspace(0, np.pi, rows + 1), np.linspace(0, 2 * np.pi, 2 * rows + 1), indexing="ij"
    )
    level = np.sin(down)
    out = np.stack((level * np.cos(around), np.cos(down), level * np.sin(around)), -1)
    normals = out.reshape(-1, 3).astype(np.float32)
    wide = 2 * rows + 1
    first = (np.arange(rows)[:, None] * wide + np.arange(2 * rows)[None]).reshape(-1, 1)
    triangles = np.concatenate(
        [first + np.array([0, 1, wide]), first + np.array([1, wide + 1, wide])]
    ).astype(np.int32)
    places = np.stack((around / 2 / np.pi, down / np.pi), -1).reshape(-1, 2).astype(np.float32)
    return Mesh(
        points=normals * np.float32(radius),
        triangles=triangles,
        normals=normals,
        places=places,
        surface=surface,
    )


def stage(*meshes: Mesh, lights: tuple[Light, ...] = ()) -> Stage:
    return Stage(meshes=meshes, camera=CAMERA, lights=lights)


def light_seen(
    made: Stage, samples: int = 8, *, bounces: int = 12, size: int = 48, seed: int = 0
) -> tuple[Carried, NDArray[np.int32]]:
    """Return the mean light of all pixels of a small picture, by pixel, and what each meets."""
    y, x = np.mgrid[0:size, 0:size]
    ways = np.stack(
        ((x + 0.5) / size - 0.5, 0.5 - (y + 0.5) / size, -np.ones(x.shape)), -1
    ).reshape(-1, 3)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    origins = np.tile(np.array(CAMERA.place, np.float32), (len(ways), 1))
    ready, chances = prepare(made), np.random.default_rng(seed)
    runs = [
        trace(ready, origins, ways.astype(np.float32), chances, bounces=bounces)
        for _ in range(samples)
    ]
    return np.mean([light for light, _ in runs], axis=0), runs[0][1]
