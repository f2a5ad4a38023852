"""All materials of the tea scene; pictures at fault differ between the twins."""

from __future__ import annotations

from primecoat.demo import gltf_glazes, gltf_surroundings
from primecoat.demo.faults import (
    BENT_NORMALS,
    BERRY,
    CASE,
    FOREIGN_PROFILE,
    MISSING,
    SIXTEEN_BIT,
    STALE_TOKEN,
    TWO_READINGS,
)
from primecoat.demo.gltf_textures import Json


def materials(clean: bool) -> list[Json]:
    """Return the materials; ``clean`` for the twin without faults."""
    return [
        gltf_glazes.celadon(),
        gltf_surroundings.brass(),
        gltf_glazes.porcelain(CASE.path(clean)),
        gltf_glazes.stoneware(SIXTEEN_BIT.path(clean), STALE_TOKEN.path(clean)),
        gltf_glazes.tenmoku(FOREIGN_PROFILE.path(clean), BENT_NORMALS.path(clean)),
        gltf_glazes.turquoise(TWO_READINGS.path(clean)),
        gltf_surroundings.jam(BERRY.path(clean)),
        gltf_glazes.plum(),
        gltf_surroundings.cork(MISSING.path(clean)),
        gltf_surroundings.lantern(),
        gltf_surroundings.oak(),
        gltf_surroundings.linen(),
        gltf_surroundings.leaf(),
        gltf_surroundings.paving(),
        gltf_surroundings.bricks(),
    ]
