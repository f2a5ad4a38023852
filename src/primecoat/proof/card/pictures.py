"""The picture files of the card."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.icc_write import matrix_profile
from primecoat.images.oiio import write_pixels
from primecoat.proof.card.inputs import CODES, GREYS, INPUTS, NORMAL_CODES, SKY

SIDE = 64
"""Width and height of a picture in pixels."""
SKY_HEIGHT = 256
SKY_ANGLE = 28.0
"""How far from straight behind the card the environment shines, degrees: no patch faces it."""


def write_pictures(folder: Path) -> None:
    """Write all pictures below a folder whose ``textures`` exists."""
    for key, pixels, attributes in _pictures():
        write_pixels(folder / INPUTS[key].path, pixels, attributes=attributes)


def _pictures() -> Iterator[tuple[str, NDArray[Any], dict[str, Any]]]:
    eight = fields_of(CODES)
    for key in ("token_color", "token_ap1_color", "declared_color", "untagged_color"):
        yield key, eight, {}
    yield "sixteen_bit_color", eight.astype(np.uint16) * 257, {}
    profiles = {"profile_srgb_color": "srgb_rec709_scene", "profile_p3_color": "srgb_p3d65_scene"}
    for key, space in profiles.items():
        yield key, eight, {"ICCProfile": matrix_profile(space)}
    yield "float_color", (eight / np.float32(255)).astype(np.float32), {"compression": "zip"}
    yield "grey_data", fields_of(np.repeat(GREYS[:, None], 3, axis=1)), {}
    yield "normal_map", fields_of(NORMAL_CODES), {}
    yield "environment", environment(), {"compression": "zip"}


def fields_of(values: NDArray[Any]) -> NDArray[Any]:
    """Return a picture of four fields, two by two, from values of shape (4, channels)."""
    blocks = values.reshape(2, 2, -1)
    return np.repeat(np.repeat(blocks, SIDE // 2, axis=0), SIDE // 2, axis=1)


def environment() -> NDArray[np.float32]:
    """Return the environment, latitude-longitude, shape (SKY_HEIGHT, 2 * SKY_HEIGHT, 3).

    It is dark but for a round spot straight behind the card, -z, which lies at the left and right
    edges: the OpenEXR documentation, "Latitude-Longitude Map", has +z in the middle. Above the
    horizon the spot is brighter than below.
    """
    rows = (0.5 - (np.arange(SKY_HEIGHT) + 0.5) / SKY_HEIGHT) * np.pi
    columns = (0.5 - (np.arange(2 * SKY_HEIGHT) + 0.5) / (2 * SKY_HEIGHT)) * 2 * np.pi
    latitude, longitude = np.meshgrid(rows, columns, indexing="ij")
    behind = np.cos(latitude) * np.cos(longitude) < -np.cos(np.radians(SKY_ANGLE))
    high, low = (np.array(value, np.float32) for value in SKY)
    light = np.where((latitude > 0)[..., None], high, low)
    return np.where(behind[..., None], light, np.float32(0)).astype(np.float32)
