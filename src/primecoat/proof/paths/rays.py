"""The door to the ray library: which triangle a ray meets first, and whether it meets any.

The library is Embree by its binding ``embreex``; the extra ``proof`` installs it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import UseError, how_to_install

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Hits:
    """What rays meet: number of the triangle (-1 for none), distance, and where on it."""

    triangle: NDArray[np.int32]
    distance: Floats
    across: Floats
    along: Floats

    def only(self, kept: NDArray[np.bool_]) -> Hits:
        """Return some of them."""
        return Hits(self.triangle[kept], self.distance[kept], self.across[kept], self.along[kept])


class Triangles:
    """Triangles that rays can be sent at.

    Parameters
    ----------
    points
        Shape (n, 3).
    triangles
        Shape (m, 3).

    Raises
    ------
    UseError
        If the library is not installed.
    """

    def __init__(self, points: Floats, triangles: NDArray[np.int32]) -> None:
        try:
            from embreex.mesh_construction import TriangleMesh
            from embreex.rtcore_scene import EmbreeScene
        except ImportError as error:
            raise UseError(
                "The light-path picture needs the ray library embreex, which is not installed.",
                how_to_install("proof"),
            ) from error
        self._scene: Any = EmbreeScene()
        self._mesh: Any = TriangleMesh(  # it keeps only a view of these
            self._scene, np.ascontiguousarray(points), np.ascontiguousarray(triangles)
        )

    def first(self, origins: Floats, directions: Floats) -> Hits:
        """Return what each ray meets first; rows of shape (n, 3), float32."""
        found = self._scene.run(origins, directions, output=True)
        return Hits(found["primID"], found["tfar"], found["u"], found["v"])

    def blocked(self, origins: Floats, directions: Floats, reach: Floats) -> NDArray[np.bool_]:
        """Return whether each ray meets anything nearer than ``reach``, shape (n,)."""
        met = self._scene.run(origins, directions, dists=reach, query="OCCLUDED")
        return np.asarray(met >= 0)
