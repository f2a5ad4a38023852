"""USD scenes through the verbs: survey, plan, apply, a second time, and back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.scenes import builders as b
from tests.scenes.usd_stages import DIFFUSE, layer, preview

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.images.oiio import read_pixels

pytest.importorskip("pxr")

TEX = """asset inputs:file = @./tex/cup.png@
        token inputs:sourceColorSpace = "%s\""""
REST = """
def RenderSettings "R"
{
    uniform token renderingColorSpace = "lin_rec709_scene"
}
def SphereLight "L"
{
    color3f inputs:color = (1, 0.5, 0.25)
}
def Mesh "Mesh"
{
    color3f[] primvars:displayColor = [(1, 0, 0), (1, 1, 1)]
}
"""


def world(folder: Path, word: str = "sRGB") -> Path:
    (folder / "tex").mkdir(exist_ok=True)
    (folder / "tex" / "cup.png").write_bytes(b.png())
    return layer(folder, preview(TEX % word, DIFFUSE) + REST, "tea.usda")


def primed(target: Path, route: str) -> Path:
    plan = workflow.plan(workflow.survey(target), route, with_likely=True)
    workflow.apply(plan)
    return target.with_name("tea.primed.usda")


def test_today_and_reading(tmp_path: Path):
    survey = workflow.survey(world(tmp_path, "auto"))
    (image,) = survey.readings.images
    assert image.uses[0].today == "srgb_rec709_scene"
    assert image.standing == "likely"
    assert survey.readings.from_space == "lin_rec709_scene"


@pytest.mark.parametrize("route", ["tag", "declare", "bake"])
def test_there_twice_and_back(tmp_path: Path, route: str):
    root = world(tmp_path)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    made = primed(root, route)
    assert made.read_text().count("def ") == 0
    assert {p: p.read_bytes() for p in before} == before
    assert not workflow.plan(workflow.survey(root), route, with_likely=True).operations
    gate = workflow.gate(workflow.survey(made))
    if route != "tag":
        assert gate.open, gate
    workflow.undo(root)
    left = {p for p in tmp_path.rglob("*") if p.is_file() and ".primecoat" not in p.parts}
    assert left == set(before)


def test_declared_and_baked_look_the_same(tmp_path: Path):
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    declared = workflow.survey(primed(world(tmp_path / "one"), "declare")).readings
    baked = workflow.survey(primed(world(tmp_path / "two"), "bake")).readings

    def light(readings) -> np.ndarray:
        (image,) = readings.images
        pixels = np.asarray(read_pixels(image.record.files[0]), dtype=np.float64)
        scale = 255.0 if pixels.max() > 2 else 1.0
        return convert(pixels[..., :3] / scale, image.reading, "lin_ap1_scene")

    one, two = light(declared), light(baked)
    assert np.abs(one - two).max() <= np.abs(one).max() * 2**-11
    assert declared.images[0].reading == "srgb_rec709_scene"
    assert baked.images[0].reading == "lin_ap1_scene"
    for readings in (declared, baked):
        assert {c.value.declared for c in (*readings.colours, *readings.lights)} != {None}
        assert readings.from_space == "lin_ap1_scene"
    for one_colour, other in zip(
        (*declared.colours, *declared.lights), (*baked.colours, *baked.lights), strict=True
    ):
        assert np.abs(np.subtract(one_colour.working or 9, other.working or 0)).max() < 1e-6


def test_a_pure_gamma_is_held_with_the_reason(tmp_path: Path):
    root = world(tmp_path, "auto")
    survey = workflow.survey(root)
    workflow.decide(survey, "tex/cup.png", "g22_rec709_scene")
    plan = workflow.plan(workflow.survey(root), "declare")
    assert any("g22_rec709_scene" in held.why for held in plan.held)
    assert "sourceColorSpace" not in str(plan.operations)
