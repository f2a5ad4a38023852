"""Spaces that a base lacks: their numbers against the newest built-in config and colour maths."""

from __future__ import annotations

from functools import cache

import numpy as np
import PyOpenColorIO as ocio
import pytest

from primecoat.colour.ids import SPACES
from primecoat.colour.primaries import PRIMARIES, rgb_to_rgb_matrix
from primecoat.config.added_space import added_space
from primecoat.config.build import build_config
from primecoat.config.plan_content import plan_content
from primecoat.images.curves import srgb_to_light

NEWEST = "studio-config-v5.0.0_aces-v2.1_ocio-v2.6"
OLDEST = "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"
PATCHES = np.random.default_rng(5).uniform(0.0, 1.0, (2000, 3)).astype(np.float32)


@cache
def config_with(reading: str) -> ocio.Config:
    """Return a config in which nothing but the reference and our own space of a reading is."""
    config = ocio.Config.CreateRaw()
    scene = ocio.ColorSpace(ocio.REFERENCE_SPACE_SCENE, "scene")
    light = ocio.ColorSpace(ocio.REFERENCE_SPACE_DISPLAY, "light")
    for space in (scene, light, added_space(reading)):
        config.addColorSpace(space)
    return config


def applied(config: ocio.Config, source: str, target: str, rgb: np.ndarray) -> np.ndarray:
    """Convert without the library's shortcuts."""
    processor = config.getProcessor(source, target)
    exact = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    pixels = np.ascontiguousarray(rgb, dtype=np.float32).copy()
    exact.applyRGB(pixels)
    return pixels


def reference_of(reading: str) -> str:
    return "scene" if SPACES[reading].referred == "scene" else "light"


@pytest.mark.parametrize("reading", SPACES)
def test_against_the_newest_built_in(reading: str):
    """Our definition of every space gives the newest built-in config's numbers, both ways.

    Source: OpenColorIO 2.6's studio-config-v5.0.0, which has every space of the vocabulary. It
    defines some of them by transforms that are worked out in float32 (PQ and HLG).
    """
    base = ocio.Config.CreateFromBuiltinConfig(NEWEST)
    scene = SPACES[reading].referred == "scene"
    reference = "ACES2065-1" if scene else "CIE XYZ-D65 - Display-referred"
    name = next(n for n in (reading, *SPACES[reading].aliases) if base.getColorSpace(n))
    ours = applied(config_with(reading), reading, reference_of(reading), PATCHES)
    theirs = applied(base, name, reference, PATCHES)
    assert ours == pytest.approx(theirs, abs=1e-6, rel=1e-6)
    back = applied(config_with(reading), reference_of(reading), reading, theirs)
    assert back == pytest.approx(applied(base, reference, name, theirs), abs=1e-6, rel=2e-6)


@pytest.mark.parametrize("reading", [r for r in SPACES if SPACES[r].referred == "scene"])
def test_against_colour_maths(reading: str):
    """Every scene space decodes as float64 curves and matrices say, to 1e-6.

    Sources: beside each curve and set of primaries; Adobe RGB (1998) has the power 563/256.
    """
    space = SPACES[reading]
    codes = PATCHES.astype(np.float64)
    power = {"g18": 1.8, "g22": 2.2, "g24": 2.4}.get(space.curve, 1.0)
    if space.primaries == "adobergb" and not space.linear:
        power = 563 / 256
    light = srgb_to_light(codes) if space.curve == "srgb" else codes**power
    matrix = rgb_to_rgb_matrix(PRIMARIES[space.primaries], PRIMARIES["ap0"])
    found = applied(config_with(reading), reading, "scene", PATCHES)
    assert found == pytest.approx(light @ matrix.T, abs=1e-6)


def test_in_the_oldest_base():
    """Spaces added to the oldest base stand beside its own as in the newest base."""
    old = build_config(plan_content(base=OLDEST))
    new = build_config(plan_content(base=NEWEST))
    added = [space.reading for space in plan_content(base=OLDEST).spaces if space.added]
    assert added[:3] == ["lin_adobergb_scene", "lin_ciexyzd65_scene", "srgb_p3d65_scene"]
    for reading in added:
        scene = SPACES[reading].referred == "scene"
        reference = "aces_interchange" if scene else "cie_xyz_d65_interchange"
        assert applied(old, reading, reference, PATCHES) == pytest.approx(
            applied(new, reading, reference, PATCHES), abs=1e-6, rel=1e-6
        )


@pytest.mark.parametrize("reading", SPACES)
def test_there_and_back_below_zero(reading: str):
    """Numbers below 0 and above 1 come back where the curve is defined there."""
    if SPACES[reading].curve in ("pq", "hlg"):
        pytest.skip("these curves end at 0")
    rgb = np.array([[-0.1, 0.5, 1.5], [2.0, -0.3, 0.25]], dtype=np.float32)
    if SPACES[reading].referred == "scene" and not SPACES[reading].linear:
        rgb = np.abs(rgb)  # matrix and curve do not commute there
    config = config_with(reading)
    light = applied(config, reading, reference_of(reading), rgb)
    assert applied(config, reference_of(reading), reading, light) == pytest.approx(rgb, abs=5e-6)
