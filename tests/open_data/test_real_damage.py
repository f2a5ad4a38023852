"""Real normal maps, sound and put through an sRGB curve; see ``conftest.py`` for the source."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.images.generated_normals import damaged, encoded_file

from primecoat.images.normal_map import judge_normal_map
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure

pytestmark = pytest.mark.open_data


@pytest.mark.parametrize("form", ["png8", "jpeg", "jpeg_as_png"])
def test_damage_of_real_maps(form: str, open_pictures: Path, tmp_path: Path) -> None:
    """No sound one is called damaged; of the damaged at most the one without fine chroma is missed.

    That one (0021.webp), decoded once too often, is left open and never called sound.
    """
    for source in sorted((open_pictures / "normals").glob("*.webp")):
        values = np.asarray(Image.open(source).convert("RGB")) / 255
        for damage in ("none", "srgb_encoded", "srgb_decoded"):
            suffix, data = encoded_file(damaged(values, damage), form, 75)
            path = tmp_path / f"map.{suffix}"
            path.write_bytes(data)
            judged = judge_normal_map(measure(path, read_header(path)), known=True)
            assert judged is not None
            if (source.name, damage) == ("0021.webp", "srgb_decoded"):
                assert judged.damage == damage or not judged.damage_told
            else:
                assert judged.damage == damage, source.name
