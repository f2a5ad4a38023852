"""Lights with a temperature: the product in numbers, and written so that it means one thing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.scenes.usd_stages import all_values, layer

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import primaries_of, rgb_to_xyz_matrix, xyz_to_xy
from primecoat.plan.operations import WriteScene
from primecoat.report.survey_document import survey_document
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

REC709, AP1 = "lin_rec709_scene", "lin_ap1_scene"
RENDER = f'def RenderSettings "R"\n{{\n    uniform token renderingColorSpace = "{REC709}"\n}}\n'
WARM = "bool inputs:enableColorTemperature = 1\nfloat inputs:colorTemperature = 3200\n"


def lamp(body: str, kind: str = "SphereLight") -> str:
    return f'def {kind} "L"\n{{\n{body}\n}}\n'


def light_of(folder: Path, text: str, **options: Any) -> Any:
    (light,) = workflow.survey(layer(folder, text), **options).readings.lights
    return light


def ratio(rgb: Any) -> tuple[float, float]:
    return rgb[0] / rgb[1], rgb[2] / rgb[1]


def library_table(kelvin: float) -> np.ndarray:
    """Return linear Rec.709 of a temperature as the library itself has it."""
    return np.array(door.UsdLux.BlackbodyTemperatureAsRgb(kelvin), dtype=np.float64)


def shown(path: Path, time: float | None = None) -> np.ndarray:
    """Return what a renderer shows for the light in AP1: its colour from its own space, times
    the library's table if a temperature is on."""
    stage = door.Usd.Stage.Open(str(path))
    prim = stage.GetPrimAtPath("/L")
    at = [] if time is None else [time]
    attribute = prim.GetAttribute("inputs:color")
    rgb = np.array(attribute.Get(*at), dtype=np.float64)
    if prim.GetAttribute("inputs:enableColorTemperature").Get(*at):
        rgb = rgb * library_table(prim.GetAttribute("inputs:colorTemperature").Get(*at))
    space = attribute.GetColorSpace() if attribute.HasColorSpace() else REC709
    return convert(rgb, space, AP1).astype(np.float64)


def test_3200_kelvin_in_ap1(tmp_path: Path):
    """Planck's law, CIE 1931, Bradford: 1.4625 : 1 : 0.4509 (computed; see SOURCES.md)."""
    light = light_of(tmp_path, lamp(WARM) + RENDER)
    assert ratio(light.working) == pytest.approx((1.4625, 0.4509), abs=1e-4)
    back = convert(light.working, AP1, REC709).astype(float)
    xy = xyz_to_xy(rgb_to_xyz_matrix(primaries_of(REC709)) @ back)
    assert xy == pytest.approx((0.423363, 0.398953), abs=1e-4)
    assert "3200 K by Planck's law" in light.why
    assert "Bradford" in light.why


@pytest.mark.parametrize("kelvin", [2000.0, 2700.0, 3200.0, 4000.0, 5600.0, 6500.0, 10000.0])
def test_the_product_is_what_the_library_shows(tmp_path: Path, kelvin: float):
    """Oracle: UsdLuxBlackbodyTemperatureAsRgb of usd-core, times the colour, to AP1."""
    body = WARM.replace("3200", str(kelvin)) + "color3f inputs:color = (0.9, 0.5, 0.2)"
    light = light_of(tmp_path, lamp(body) + RENDER)
    assert light.working == pytest.approx(shown(tmp_path / "root.usda"), abs=1.5e-3)


@pytest.mark.parametrize(("kelvin", "taken"), [(500.0, 1000.0), (20000.0, 10000.0)])
def test_out_of_range_is_taken_for_the_end(tmp_path: Path, kelvin: float, taken: float):
    """As the library does."""
    assert library_table(kelvin).tolist() == library_table(taken).tolist()
    light = light_of(tmp_path, lamp(WARM.replace("3200", str(kelvin))) + RENDER)
    other = light_of(tmp_path, lamp(WARM.replace("3200", str(taken))) + RENDER)
    assert light.working == other.working
    assert "taken within 1000 to 10000 K" in light.why


def test_off_is_not_applied(tmp_path: Path):
    off = WARM.replace("= 1", "= 0") + "color3f inputs:color = (1, 0, 0)"
    light = light_of(tmp_path, lamp(off) + RENDER)
    assert light.value.kelvin is None
    assert light.working == pytest.approx((0.613097, 0.070194, 0.020616), abs=1e-6)


def test_multiplied_in_the_space_the_scene_was_made_in(tmp_path: Path):
    """A product of numbers differs by primaries: in P3 it is not that in Rec.709."""
    body = WARM + "color3f inputs:color = (0.2, 0.9, 0.1)"
    p3 = light_of(tmp_path, lamp(body) + RENDER.replace(REC709, "lin_p3d65_scene"))
    table = convert(library_table(3200), REC709, "lin_p3d65_scene")
    wanted = convert(table * np.array((0.2, 0.9, 0.1)), "lin_p3d65_scene", AP1)
    assert p3.working == pytest.approx(wanted, abs=1.5e-3)
    assert "multiplied in lin_p3d65_scene" in p3.why


def test_nobody_says_the_space(tmp_path: Path):
    body = lamp(WARM + "color3f inputs:color = (1, 0.5, 0.2)")
    assert light_of(tmp_path, body).working is None
    said = light_of(tmp_path, body, from_space=REC709)
    assert said.working == pytest.approx(shown(tmp_path / "root.usda"), abs=1.5e-3)


def test_document_shows_kelvin_value_and_working(tmp_path: Path):
    body = WARM + "color3f inputs:color = (1, 0.5, 0.25)"
    survey = workflow.survey(layer(tmp_path, lamp(body) + RENDER))
    (row,) = json.loads(json.dumps(survey_document(survey)))["lights"]
    assert (row["kelvin"], row["value"], row["reading"]) == (3200, [1, 0.5, 0.25], REC709)
    assert row["working"] == pytest.approx(shown(tmp_path / "root.usda"), abs=1.5e-3)


BODIES = {
    "white": "",
    "colour": "color3f inputs:color = (0.9, 0.5, 0.2)",
    "declared": 'color3f inputs:color = (0.9, 0.5, 0.2) (\ncolorSpace = "srgb_p3d65_scene"\n)',
}


@pytest.mark.parametrize("route", ["declare", "bake"])
@pytest.mark.parametrize("case", BODIES)
def test_written_so_that_it_means_one_thing(tmp_path: Path, route: Any, case: str):
    """The layer holds the product in a named space; the temperature is off and still there."""
    path = layer(tmp_path, lamp(WARM + BODIES[case]) + RENDER)
    survey = workflow.survey(path)
    (light,) = survey.readings.lights
    plan = workflow.plan(survey, route)
    (write,) = plan.operations
    assert isinstance(write, WriteScene)
    edits = {e.place: (e.before, e.after) for e in write.edits}
    assert edits["/L.inputs:enableColorTemperature/value"] == ("on at 3200 K", "off")
    assert len(edits["/L.inputs:color/value"][1].split()) == 3
    assert edits["/L.inputs:color/colorSpace"][1] == (AP1 if route == "bake" else REC709)
    workflow.apply(plan)
    target = tmp_path / "root.primed.usda"
    stage = door.Usd.Stage.Open(str(target))
    prim = stage.GetPrimAtPath("/L")
    assert not prim.GetAttribute("inputs:enableColorTemperature").Get()
    assert prim.GetAttribute("inputs:colorTemperature").Get() == 3200
    assert shown(target) == pytest.approx(light.working, abs=2e-6)
    (after,) = workflow.survey(target).readings.lights
    assert after.value.kelvin is None
    assert after.working == pytest.approx(light.working, abs=2e-6)
    assert workflow.plan(workflow.survey(target), route).operations == ()
    workflow.undo(path)
    assert not target.exists()


@pytest.mark.parametrize("route", ["declare", "bake"])
def test_nothing_else_differs(tmp_path: Path, route: Any):
    text = lamp(WARM + "float inputs:intensity = 5\nfloat inputs:exposure = 2") + RENDER
    path = layer(tmp_path, text + 'def Cube "C"\n{\n}\n', metadata='upAxis = "Z"')
    workflow.apply(workflow.plan(workflow.survey(path), route))
    one = all_values(door.Usd.Stage.Open(str(path)))
    other = all_values(door.Usd.Stage.Open(str(tmp_path / "root.primed.usda")))
    differs = {key.split(" ")[0] for key in {*one, *other} if one.get(key) != other.get(key)}
    assert differs == {
        "/L.inputs:color",
        "/L.inputs:enableColorTemperature",
        "/R.renderingColorSpace",
    }


@pytest.mark.parametrize("route", ["declare", "bake"])
@pytest.mark.parametrize("moving", ["temperature", "colour", "both"])
def test_by_time(tmp_path: Path, route: Any, moving: str):
    """At every time that something is written for, the product is what it was."""
    kelvin = "float inputs:colorTemperature = 3200"
    colour = "color3f inputs:color = (0.9, 0.5, 0.2)"
    if moving != "colour":
        kelvin = "float inputs:colorTemperature.timeSamples = {\n1: 2700,\n9: 5000,\n}"
    if moving != "temperature":
        colour = "color3f inputs:color.timeSamples = {\n1: (1, 0.5, 0.2),\n5: (0.2, 0.9, 0.4),\n}"
    body = f"bool inputs:enableColorTemperature = 1\n{kelvin}\n{colour}"
    path = layer(tmp_path, lamp(body) + RENDER)
    survey = workflow.survey(path)
    (light,) = survey.readings.lights
    times = {"temperature": [1, 9], "colour": [1, 5], "both": [1, 5, 9]}[moving]
    rows = np.array([shown(path, t) for t in times])
    if moving != "temperature":  # there the default of the colour is a sample too
        assert light.working == pytest.approx(rows.min(axis=0), abs=3e-3)
        assert light.working_maximum == pytest.approx(rows.max(axis=0), abs=3e-3)
    workflow.apply(workflow.plan(survey, route))
    target = tmp_path / "root.primed.usda"
    stage = door.Usd.Stage.Open(str(target))
    assert stage.GetAttributeAtPath("/L.inputs:color").GetTimeSamples() == times
    for time, row in zip(times, rows, strict=True):
        assert shown(target, time) == pytest.approx(row, abs=3e-3)
    assert (tmp_path / "root.usda").read_text() == path.read_text()


HELD = {
    "switched by time": "bool inputs:enableColorTemperature.timeSamples = {\n1: 1,\n2: 0,\n}\n",
    "connected": WARM + "float inputs:colorTemperature.connect = </N.outputs:k>\n",
}


@pytest.mark.parametrize("route", ["declare", "bake"])
@pytest.mark.parametrize("case", HELD)
def test_what_cannot_be_followed_is_held(tmp_path: Path, route: Any, case: str):
    path = layer(tmp_path, lamp(HELD[case] + "color3f inputs:color = (1, 0.5, 0.2)") + RENDER)
    survey = workflow.survey(path)
    (light,) = survey.readings.lights
    assert light.value.kelvin is not None
    assert light.working is None
    plan = workflow.plan(survey, route)
    assert [h for h in plan.held if "/L.inputs:color" in h.where and "temperature" in h.why]


def test_a_temperature_that_changed_since_is_refused(tmp_path: Path):
    """It stands in a sublayer, whose bytes no hash of the scene covers."""
    layer(tmp_path, lamp(WARM) + RENDER, "below.usda")
    path = layer(tmp_path, "", metadata="subLayers = [@./below.usda@]")
    plan = workflow.plan(workflow.survey(path), "bake")
    assert plan.operations
    layer(tmp_path, lamp(WARM.replace("3200", "5000")) + RENDER, "below.usda")
    with pytest.raises(Exception, match="5000 K"):
        workflow.apply(plan)


def test_nothing_is_written_where_nothing_changes(tmp_path: Path):
    """Made in Rec.709, and to stay there: the table is that of Rec.709."""
    survey = workflow.survey(layer(tmp_path, lamp(WARM) + RENDER), to_space=REC709)
    assert workflow.plan(survey, "bake").operations == ()


def bulbs(colour: str) -> str:
    """Return a light with a temperature in each of two variants, and none in a third."""
    head = '(\nvariants = {\nstring bulb = "warm"\n}\nprepend variantSets = "bulb"\n)'
    sets = "".join(
        f'"{name}" {{\n{WARM.replace("3200", str(kelvin))}\n}}\n'
        for name, kelvin in (("warm", 2700), ("cool", 5000))
    )
    body = f'variantSet "bulb" = {{\n{sets}"off" {{\n}}\n}}'
    return f'def SphereLight "L" {head}\n{{\n{colour}\n{body}\n}}\n' + RENDER


def in_each(path: Path) -> dict[str, np.ndarray]:
    """Return what a renderer shows of a light in each of its variants."""
    found = {}
    for variant in ("warm", "cool", "off"):
        text = f'over "L" (\nvariants = {{\nstring bulb = "{variant}"\n}}\n)\n{{\n}}\n'
        name = f"{variant}_{path.name}"
        above = layer(path.parent / "above", text, name, metadata=f"subLayers = [@../{path.name}@]")
        found[variant] = shown(above)
    return found


@pytest.mark.parametrize("route", ["declare", "bake"])
@pytest.mark.parametrize("case", ["white", "of a reference"])
def test_each_variant_of_a_lamp(tmp_path: Path, route: Any, case: str):
    """The temperature stands in variants: one product in each, none where it is off."""
    text = bulbs("")
    if case == "of a reference":
        colour = "color3f inputs:color = (0.9, 0.5, 0.2)"
        layer(tmp_path, f'def SphereLight "Lib"\n{{\n{colour}\n}}\n', "library.usda")
        text = text.replace(
            "variantSets =", "references = @./library.usda@</Lib>\nprepend variantSets =", 1
        )
    path = layer(tmp_path, text)
    survey = workflow.survey(path)
    assert {r.value.location.place: r.value.kelvin for r in survey.readings.lights} == {
        "/L{bulb=warm}.inputs:color": 2700,
        "/L{bulb=cool}.inputs:color": 5000,
        "/L{bulb=off}.inputs:color": None,
    }
    plan = workflow.plan(survey, route)
    assert not plan.held
    workflow.apply(plan)
    target = tmp_path / "root.primed.usda"
    before, after = in_each(path), in_each(target)
    for variant in before:
        assert after[variant] == pytest.approx(before[variant], abs=1.5e-3), variant


def test_a_plain_colour_with_temperatures_in_variants_is_held(tmp_path: Path):
    """A plain colour rules in every variant: no product can stand in one of them."""
    survey = workflow.survey(layer(tmp_path, bulbs("color3f inputs:color = (0.9, 0.5, 0.2)")))
    assert {r.value.location.place: r.value.kelvin for r in survey.readings.lights} == {
        "/L{bulb=warm}.inputs:color": 2700,
        "/L{bulb=cool}.inputs:color": 5000,
        "/L.inputs:color": None,
    }
    plan = workflow.plan(survey, "declare")
    assert {h.where.partition("#/")[2] for h in plan.held if "in a variant" in h.why} == {
        "L{bulb=warm}.inputs:color",
        "L{bulb=cool}.inputs:color",
    }
    (write,) = plan.operations
    assert isinstance(write, WriteScene)
    assert "/L.inputs:color/colorSpace" in {e.place for e in write.edits}
