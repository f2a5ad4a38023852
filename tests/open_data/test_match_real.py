"""Looks matched on real light: environment pictures as renders of old and new.

The pictures are linear Rec.709 (as their maker says); the new render is the same light in AP1.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_VIEW, convert
from primecoat.images.oiio import read_pixels, write_pixels
from primecoat.renders.inputs import Input
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.look import match_renders
from primecoat.renders.match.model import Match

pytestmark = pytest.mark.open_data

AP1 = "lin_ap1_scene"
KNOWN = Adjustment(stops=-0.35, contrast=1.2, saturation=0.9)


def renders(picture: Path, folder: Path, look: Adjustment) -> tuple[Path, Path]:
    light = convert(read_pixels(picture)[..., :3].astype(np.float32), "lin_rec709_scene", AP1)
    numbers = adjusted(convert(light, AP1, SPACE), look, DEFAULT_CONFIG).astype(np.float32)
    seeds = np.random.default_rng(5)
    made = []
    for name, shown in (("old", convert(numbers, SPACE, AP1)), ("new", light)):
        noisy = np.asarray(shown * seeds.normal(1, 0.01, shown.shape), np.float32)
        made.append(folder / f"{name}.exr")
        write_pixels(made[-1], np.clip(noisy, 0, 65504), pixel_type="half")
    return made[0], made[1]


def matched(old: Path, new: Path, view: str) -> Match:
    """Take all three numbers; in a dark and grey one, contrast alone would serve."""
    return match_renders(
        Input(name=str(old), space=AP1, view=view),
        Input(name=str(new), space=AP1),
        up_to="saturation",
    )


@pytest.mark.parametrize("name", ["apartment", "forest", "sunset", "night"])
def test_a_look_that_can_be_said(open_pictures: Path, tmp_path: Path, name: str):
    """CIEDE2000 mean up to 1 and 95 % up to 2.5, over blocks; the numbers within 1 %."""
    old, new = renders(open_pictures / "hdri" / f"{name}.exr", tmp_path, KNOWN)
    found = matched(old, new, DEFAULT_VIEW)
    result, residual = found.result.adjustment, found.result.residual
    assert (residual.mean <= 1.0, residual.p95 <= 2.5) == (True, True)
    assert 2**result.stops == pytest.approx(2**KNOWN.stops, rel=0.01)
    assert result.contrast == pytest.approx(KNOWN.contrast, rel=0.01)
    assert result.saturation == pytest.approx(KNOWN.saturation, rel=0.01)


@pytest.mark.parametrize("name", ["forest", "sunset"])
def test_one_that_cannot_leaves_much(open_pictures: Path, tmp_path: Path, name: str):
    """The plain encoding of a display clips what the new view bends: no number gives that back."""
    old, new = renders(open_pictures / "hdri" / f"{name}.exr", tmp_path, Adjustment(stops=1.5))
    residual = matched(old, new, "Un-tone-mapped").result.residual
    assert residual.mean > 1.0
    assert residual.p95 > 2.5
