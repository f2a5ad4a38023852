"""Work on colours between textures and surfaces of a stage that may not be kept exact."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from primecoat import workflow
from primecoat.images.oiio import write_pixels
from primecoat.report.survey_document import survey_document


def products(folder: Path, texture: str, between: str = "", source: str = "t.outputs:rgb") -> Any:
    write_pixels(folder / "glaze_color.png", np.full((4, 4, 3), 128, np.uint8))
    text = f"""#usda 1.0
def Material "glaze"
{{
    token outputs:surface.connect = </glaze/s.outputs:surface>
    def Shader "s"
    {{
        uniform token info:id = "UsdPreviewSurface"
        color3f inputs:diffuseColor.connect = </glaze/{source}>
        token outputs:surface
    }}
    def Shader "t"
    {{
        uniform token info:id = "UsdUVTexture"
        asset inputs:file = @./glaze_color.png@
        token inputs:sourceColorSpace = "sRGB"
        {texture}
        float3 outputs:rgb
    }}
    {between}
}}
"""
    (folder / "tea.usda").write_text(text, encoding="utf-8")
    return survey_document(workflow.survey(folder / "tea.usda"))["products"]


@pytest.mark.parametrize(
    ("texture", "count"),
    [
        ("float4 inputs:scale = (1.2, 1, 0.8, 1)", 1),
        ("float4 inputs:bias = (0.1, 0, 0, 0)", 1),
        ("float4 inputs:scale = (0.5, 0.5, 0.5, 1)", 0),
        ("float4 inputs:scale = (2, 2, 2, 1)\nfloat4 inputs:bias = (-1, -1, -1, 0)", 0),
        ("float4 inputs:fallback = (1, 0, 0, 1)", 0),
    ],
)
def test_coloured_scale_and_bias(tmp_path: Path, texture: str, count: int) -> None:
    """*UsdPreviewSurface* 2.6: the texture times scale plus bias, channel by channel."""
    found = products(tmp_path, texture)
    assert [p["operation"] for p in found] == ["scale_bias"] * count
    for product in found:
        assert (product["owner"], product["slot"]) == ("glaze", "base_color")
        assert product["image"] == "./glaze_color.png"
        assert product["location"] == "tea.usda#/glaze/t"
        assert product["residual"]["p95"] > 0.01


def test_scale_leaves_what_unconverted_gains_leave(tmp_path: Path) -> None:
    """Scale is no colour and stays: gains nobody converts leave 3.7, 16 and 45 %."""
    (found,) = products(tmp_path, "float4 inputs:scale = (1.2, 1, 0.8, 1)")
    left = found["residual"]
    assert (left["median"], left["p95"], left["max"]) == pytest.approx(
        (0.037, 0.16, 0.45), abs=5e-3
    )


NODE = """
    def Shader "n"
    {{
        uniform token info:id = "ND_multiply_color3"
        color3f inputs:in1.connect = </glaze/t.outputs:rgb>
        color3f inputs:in2 = {0}
        color3f outputs:out
    }}
"""


@pytest.mark.parametrize(("tint", "count"), [("(0.6, 0.5, 0.4)", 1), ("(0.5, 0.5, 0.5)", 0)])
def test_a_node_of_a_materialx_network(tmp_path: Path, tint: str, count: int) -> None:
    """A multiply by a colour leaves what a tint leaves: 1.5 and 9.7 %; by a grey, nothing."""
    found = products(tmp_path, "", NODE.format(tint), "n.outputs:out")
    assert [p["operation"] for p in found] == ["multiply"] * count
    for product in found:
        assert product["image"] == "./glaze_color.png"
        assert product["residual"]["p95"] == pytest.approx(0.0975, abs=5e-4)
