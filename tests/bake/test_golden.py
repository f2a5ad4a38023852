"""Whole files, baked, against an independent computation in float64 (colour-science)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.bake.files import FLOAT32, bake, read, rounding, values, write
from tests.bake.independent import converted

from primecoat.colour.ids import SCENE_SPACES, SPACES
from primecoat.colour.ocio import convert

WORKING = ("lin_ap1_scene", "lin_ap0_scene", "lin_rec709_scene")
KINDS = {
    "half.exr": np.float16,
    "float.exr": np.float32,
    "8.png": np.uint8,
    "16.png": np.uint16,
    "8.tif": np.uint8,
    "16.tif": np.uint16,
}
STEEPNESS = 12.92
"""Greatest slope of an encoding here: the sRGB curve near 0 (IEC 61966-2-1); powers are steeper
there, so their darkest colours are compared as light."""


def colours(kind: str, space: str) -> np.ndarray:
    """Return random colours and the corners of the cube; beyond 0 to 1 where floats hold it."""
    chance = np.random.default_rng(11)
    made = chance.uniform(0.0, 1.0, (16, 16, 3))
    corners = np.array([[r, g, b] for r in (0, 1) for g in (0, 1) for b in (0, 1)])
    made[0, :8] = corners
    dtype: np.dtype[Any] = np.dtype(KINDS[kind])
    if dtype.kind == "u":
        return np.asarray(np.rint(made * np.iinfo(dtype.name).max), dtype)
    if SPACES[space].linear:
        made[1] = chance.uniform(-0.2, 40.0, (16, 3))
    return made.astype(dtype)


def pairs() -> list[tuple[str, str]]:
    """Return every space with each working space, there and back."""
    there = [(space, to) for space in SCENE_SPACES for to in WORKING]
    return there + [(to, space) for space, to in there if (to, space) not in there]


@pytest.mark.parametrize(("reading", "to_space"), pairs())
def test_every_space_there_and_back(tmp_path: Path, reading: str, to_space: str):
    """Every Color Interop scene space to AP1, AP0 and Rec.709 and back, from each kind of file.

    The result, as float OpenEXR, is the independent one to 2e-6 of the greatest value.
    """
    for kind in KINDS:
        pixels = colours(kind, reading)
        picture = write(tmp_path / kind, pixels)
        target, made = bake(picture, "out.exr", reading, to_space, number="float")
        found = read(target)
        assert made.number == "float"
        assert found.dtype == np.float32
        wanted = converted(values(pixels), reading, to_space)
        if not SPACES[to_space].linear:  # an infinite slope at 0: what differs is compared as light
            found, wanted = as_light(found, to_space), as_light(wanted, to_space)
        allowed = FLOAT32 * np.maximum(1.0, np.abs(wanted).max(axis=-1, keepdims=True))
        assert (np.abs(found - wanted) <= allowed).all(), kind


@pytest.mark.parametrize("kind", ["half.exr", "16.tif", "16.png", "8.png", "8.tif", "half.tif"])
@pytest.mark.parametrize(
    ("reading", "to_space"),
    [
        ("srgb_rec709_scene", "lin_ap1_scene"),
        ("g22_adobergb_scene", "srgb_ap1_scene"),
        ("lin_p3d65_scene", "srgb_p3d65_scene"),
        ("lin_ap1_scene", "lin_rec2020_scene"),
    ],
)
def test_every_kind_of_result(tmp_path: Path, kind: str, reading: str, to_space: str):
    """What is stored is the independent value, rounded once to the type that was asked for."""
    pixels = colours("16.png", reading)
    picture = write(tmp_path / "bowl.png", pixels)
    name, ending = kind.split(".")
    target, _ = bake(
        picture,
        f"out.{ending}",
        reading,
        to_space,
        number={"half": "half", "16": "16-bit", "8": "8-bit"}[name],
    )
    found = read(target)
    assert found.dtype == {"half": np.float16, "16": np.uint16, "8": np.uint8}[name]
    wanted = converted(values(pixels), reading, to_space)
    if found.dtype.kind == "u":
        wanted = wanted.clip(0, 1)
    slack = FLOAT32 * (1 if SPACES[to_space].linear else STEEPNESS)
    assert (np.abs(values(found) - wanted) <= rounding(found, wanted) + slack).all()


def test_matrices_are_the_independent_ones():
    """Each conversion of a linear space is the independent matrix, to 1e-6."""
    linear = [space for space in SCENE_SPACES if SPACES[space].linear]
    for reading in linear:
        for to_space in WORKING:
            scale = np.abs(converted(np.eye(3), reading, to_space)).max()
            found = convert(np.eye(3), reading, to_space)
            off = np.abs(found - converted(np.eye(3), reading, to_space)).max()
            assert off <= 1e-6 * max(1.0, scale), (reading, to_space)


def as_light(numbers: np.ndarray, space: str) -> np.ndarray:
    """Return the light that encoded values stand for, in float64."""
    return converted(np.asarray(numbers, np.float64), space, f"lin_{SPACES[space].primaries}_scene")
