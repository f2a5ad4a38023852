"""Light of a screen computed in float32 against OpenColorIO's own processor."""

from __future__ import annotations

import numpy as np
import pytest

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.renders.screen_light import LIGHT, screen_light

SCREENS = [s.id for s in SPACES.values() if s.referred == "display"]


@pytest.mark.parametrize("screen", SCREENS)
def test_light_is_that_of_the_config(screen):
    """Within 2e-6 of the greatest channel, also below 0 and above 1."""
    codes = np.random.default_rng(1).uniform(-0.3, 1.3, (50_000, 3)).astype(np.float32)
    codes[:3] = [(0, 0, 0), (1, 1, 1), (0.04045, 0.04, 0.041)]
    wanted = convert(codes, screen, LIGHT)
    found = screen_light(codes, screen, screen, DEFAULT_CONFIG)
    scale = np.maximum(np.abs(wanted).max(axis=1, keepdims=True), 1e-3)
    assert (np.abs(found - wanted) / scale).max() < 2e-6
