"""Pictures multiplied by a tint: listed with what converting each leaves over."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from primecoat import workflow
from primecoat.images.oiio import write_pixels
from primecoat.report.survey_document import survey_document


def _survey(folder: Path, factor: list[float], **material: Any) -> dict[str, Any]:
    write_pixels(folder / "bowl_color.png", np.full((4, 4, 3), 128, np.uint8))
    shading = {"baseColorTexture": {"index": 0}, "baseColorFactor": factor}
    scene = {
        "asset": {"version": "2.0"},
        "images": [{"uri": "bowl_color.png"}],
        "textures": [{"source": 0}],
        "materials": [{"name": "glaze", "pbrMetallicRoughness": shading, **material}],
    }
    (folder / "tea.gltf").write_text(json.dumps(scene), encoding="utf-8")
    return survey_document(workflow.survey(folder / "tea.gltf"))


def test_a_tinted_picture_is_listed_with_its_residual(tmp_path: Path) -> None:
    """Gains 1.2, 1, 0.8 converted as a colour leave 1.5, 9.7 and 35 % (measured, see numbers.md).

    The residual does not depend on the tint's scale, so 0.6, 0.5, 0.4 leaves the same.
    """
    (product,) = _survey(tmp_path, [0.6, 0.5, 0.4, 1.0])["products"]
    assert (product["owner"], product["slot"]) == ("glaze", "base_color")
    assert product["image"] == "bowl_color.png"
    left = product["residual"]
    assert left["median"] == pytest.approx(0.0145, abs=2e-4)
    assert left["p95"] == pytest.approx(0.0975, abs=5e-4)
    assert left["max"] == pytest.approx(0.347, abs=2e-3)


def test_a_grey_tint_leaves_nothing_over_and_is_not_listed(tmp_path: Path) -> None:
    """Grey times a colour commutes with every matrix."""
    assert _survey(tmp_path, [0.5, 0.5, 0.5, 1.0])["products"] == []


def test_a_tint_of_another_slot_is_no_product(tmp_path: Path) -> None:
    """An emissive tint does not meet the base-colour picture."""
    document = _survey(tmp_path, [1.0, 1.0, 1.0, 1.0], emissiveFactor=[1.0, 0.5, 0.2])
    assert document["products"] == []
