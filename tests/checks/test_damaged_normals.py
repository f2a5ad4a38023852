"""PC301 on normal maps of both kinds of damage, and on pictures that are none."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.images.generated import cloth, normal_map, srgb_decoded, srgb_encoded
from tests.reading.worlds import readings_of, sheet
from tests.scenes import builders as b

from primecoat.checks import run_checks


def codes_for(folder: Path, pixels: np.ndarray, slot: str = "normal") -> list[str]:
    """Return the findings on one 8-bit picture in a slot."""
    (folder / "a.png").write_bytes(b.png_of(np.rint(pixels * 255).astype("uint8")))
    return [f.code for f in run_checks(readings_of(sheet(folder, f"a.png,x,{slot},,,")))]


@pytest.mark.parametrize("seed", range(4))
def test_both_kinds_of_damage(seed: int, tmp_path: Path):
    """A map through the sRGB curve, either way, is found; the sound one is not."""
    sound = normal_map(np.random.default_rng(seed))
    assert codes_for(tmp_path, sound) == []
    assert codes_for(tmp_path, srgb_encoded(sound)) == ["PC301"]
    assert codes_for(tmp_path, srgb_decoded(sound)) == ["PC301"]


def test_colour_is_no_damaged_normal_map(tmp_path: Path):
    """A picture of cloth in a colour slot is never called a normal map."""
    assert codes_for(tmp_path, cloth(np.random.default_rng(1), (0.4, 0.4, 0.9)), "base_color") == []
