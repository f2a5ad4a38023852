"""What the switch changes, in numbers; and pictures that cannot be shown."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.desk.windows import Window
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked
from primecoat.workflow.switching import MOST, switch_effects

STAGE = """#usda 1.0
def Scope "Looks" {
  def Material "glaze" {
    token outputs:surface.connect = </Looks/glaze/s.outputs:surface>
    def Shader "s" {
      uniform token info:id = "UsdPreviewSurface"
      color3f inputs:diffuseColor.connect = </Looks/glaze/c.outputs:rgb>
      float inputs:roughness.connect = </Looks/glaze/r.outputs:r>
      token outputs:surface
    }
    def Shader "c" {
      uniform token info:id = "UsdUVTexture"
      asset inputs:file = @cup_color.png@
      token inputs:sourceColorSpace = "raw"
      float3 outputs:rgb
    }
    def Shader "r" {
      uniform token info:id = "UsdUVTexture"
      asset inputs:file = @cup_roughness.png@
      token inputs:sourceColorSpace = "sRGB"
      float outputs:r
    }
  }
}
"""


def srgb_encoded(light: float) -> float:
    """Encode light by IEC 61966-2-1, the upper branch."""
    return float(1.055 * light ** (1 / 2.4) - 0.055)


def srgb_decoded(code: NDArray[np.float64]) -> NDArray[np.float64]:
    """Decode by IEC 61966-2-1."""
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def test_misread_pictures_are_weighed_by_what_they_look_like(tmp_path: Path):
    (tmp_path / "tea.usda").write_text(STAGE, encoding="utf-8")
    (tmp_path / "cup_color.png").write_bytes(b.png(3))
    greys = np.arange(256, dtype=np.uint8).reshape(16, 16, 1)
    (tmp_path / "cup_roughness.png").write_bytes(b.png_of(np.repeat(greys, 3, axis=2)))
    scene = tmp_path / "tea.usda"
    survey = workflow.survey(scene)
    workflow.decide_all(survey, ["cup_color.png"], "srgb_rec709_scene", because="painted so")
    workflow.decide_all(survey, ["cup_roughness.png"], "data", because="measured")
    found = switch_effects(workflow.survey(scene))
    assert (found.counts["picture"], found.counts["data"]) == (1, 1)
    kinds = {one.kind: one for one in found.worst}
    colour = kinds["picture"]
    assert (colour.where, colour.before, colour.after) == (
        "cup_color.png",
        "data",
        "srgb_rec709_scene",
    )
    # mid-grey as an sRGB code, taken for light
    assert colour.stops == pytest.approx(math.log2(srgb_encoded(0.18) / 0.18), abs=1e-3)
    assert colour.difference is not None
    assert colour.difference > 5
    data = kinds["data"]
    codes = np.arange(256) / 255
    most = float(np.abs(codes - srgb_decoded(codes)).max())
    assert data.difference == pytest.approx(most, rel=0.03)  # the survey keeps some of the pixels


def test_colours_are_ordered_and_each_link_leads_somewhere(kept_window: Window):
    told = kept_window.get("api/switch")
    assert told["counts"]["colour"] == 1
    (colour,) = (one for one in told["worst"] if one["kind"] == "colour")
    assert colour["before"] == [0.5, 0.4, 0.3]
    # lin_rec709 to AP1, SMPTE/Academy S-2014-004 with CAT02, to four figures
    assert colour["after"] == pytest.approx([0.4609, 0.4064, 0.3175], abs=5e-3)
    assert 0.5 < colour["difference"] < 10
    ids = set(kept_window.ids().values())
    assert {one["picture"] for one in told["worst"]} <= {"", *ids}
    scene = kept_window.get("api/scene")
    for link in [t["link"] for t in scene["todo"]] + [f["link"] for f in scene["findings"]]:
        place, _, query = link.partition("?")
        assert place in ("", "#/pictures", "#/colours", "#/change")
        if query:
            name, _, value = query.partition("=")
            assert kept_window.get("api/images", **{name: value})["total"] > 0


def test_the_worst_are_told_and_all_are_counted(tmp_path: Path):
    material = {"pbrMetallicRoughness": {"baseColorFactor": [0.9, 0.1, 0.1, 1]}}
    greyer = [
        {"name": f"m{n}", "pbrMetallicRoughness": {"baseColorFactor": [0.5 + n / 50, 0.5, 0.5, 1]}}
        for n in range(MOST + 2)
    ]
    b.write_gltf(tmp_path / "tea.gltf", b.gltf([], [*greyer, {"name": "red", **material}]))
    found = switch_effects(workflow.survey(tmp_path / "tea.gltf"))
    assert found.counts["colour"] == MOST + 3
    assert found.worst[0].owner == "red"
    told = [one.difference for one in found.worst]
    assert len(told) == MOST
    assert told == sorted(told, reverse=True, key=lambda d: d or 0)


def test_a_picture_that_is_missing_or_broken_says_why_and_what_to_do(tmp_path: Path):
    pictures = tmp_path / "maps"
    pictures.mkdir()
    (pictures / "cup_color.png").write_bytes(b.png(3))
    (pictures / "torn_color.png").write_bytes(b.png(3)[:60])
    material = {
        "pbrMetallicRoughness": {"baseColorTexture": {"index": 0}},
        "emissiveTexture": {"index": 1},
        "normalTexture": {"index": 2},
    }
    images = [{"uri": f"maps/{name}.png"} for name in ("cup_color", "torn_color", "gone_normal")]
    b.write_gltf(tmp_path / "tea.gltf", b.gltf(images, [material]))
    asked = Asked(target=tmp_path / "tea.gltf")
    with Window(build_desk(asked, workflow.survey(asked.target))) as window:
        rows = {row["path"]: row for row in window.get("api/images")["rows"]}
        assert rows["maps/cup_color.png"]["cannot_show"] == ""
        assert "not there" in rows["maps/gone_normal.png"]["cannot_show"]
        assert rows["maps/torn_color.png"]["cannot_show"]
        for path, words in (("gone_normal", "Put the file back"), ("torn_color", "restore it")):
            story = window.get(f"api/image/{rows[f'maps/{path}.png']['id']}")
            assert story["cannot_show"] == rows[f"maps/{path}.png"]["cannot_show"]
            assert words in story["way_forward"]
