"""A layer whose name sorts before the colour is not taken for the colour."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
from tests.plan import small as s


def test_the_layer_without_a_name_is_the_main_one(tmp_path: Path):
    """OpenEXR sorts channels by name, so ``Albedo.B`` stands before ``B``."""
    planes = {name: np.full((4, 4), at / 4, np.float16) for at, name in enumerate("RGB", 1)}
    planes |= {f"Albedo.{name}": plane for name, plane in planes.items()}
    header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    OpenEXR.File(header, planes).write(str(tmp_path / "bowl.exr"))
    scene = s.sheet(tmp_path / "tea.csv", "bowl.exr,a,base_color,rgb,lin_rec709_scene,")
    made = s.plan(scene, "bake", with_likely=True)
    assert made.operations == ()
    assert "nothing says how to read part 1, layer Albedo." in made.held[0].why
