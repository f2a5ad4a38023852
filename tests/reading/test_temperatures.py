"""Lights that a sheet gives in kelvin."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import D65, primaries_of, rgb_to_xyz_matrix, xyz_to_xy
from primecoat.plan.plan import plan_from

ROW = "path,owner,slot,channels,space,value\n,lamp,light_color,rgb,,{value}\n"


def _light(folder: Path, value: str):
    (folder / "tea.csv").write_text(ROW.format(value=value), encoding="utf-8")
    return workflow.survey(folder / "tea.csv")


@pytest.mark.parametrize("value", ["3200K", "3200 k", "3200.0K"])
def test_3200_kelvin_in_ap1(tmp_path: Path, value: str) -> None:
    """Planck's law, CIE 1931, Bradford: 1.4625 : 1 : 0.4509 in AP1 (computed; see SOURCES.md)."""
    (light,) = _light(tmp_path, value).readings.lights
    assert light.value.kelvin == 3200
    assert light.working is not None
    red, green, blue = light.working
    assert (red / green, blue / green) == pytest.approx((1.4625, 0.4509), abs=1e-4)


def test_its_chromaticity_survives_the_way_back(tmp_path: Path) -> None:
    """Converted back to Rec.709, its xy is that of 3200 K on the Planckian locus within 1e-4.

    Source of 0.42336, 0.39895: computed from Planck's law with c2 = 1.4388e-2.
    """
    (light,) = _light(tmp_path, "3200K").readings.lights
    assert light.working is not None
    back = convert(light.working, "lin_ap1_scene", "lin_rec709_scene")
    xyz = rgb_to_xyz_matrix(primaries_of("lin_rec709_scene")) @ back.astype(float)
    assert xyz_to_xy(xyz) == pytest.approx((0.423363, 0.398953), abs=1e-4)
    assert pytest.approx((0.3127, 0.3290)) == D65


@pytest.mark.parametrize("value", ["999K", "25001K", "K", "3200 Kelvin", "-5K"])
def test_what_is_no_temperature_is_a_finding(tmp_path: Path, value: str) -> None:
    """A temperature out of range, or words, are told with their row."""
    survey = _light(tmp_path, value)
    assert not survey.readings.lights
    assert [(f.code, "row 2" in f.message) for f in survey.findings] == [("PC405", True)]


@pytest.mark.parametrize("route", ["declare", "bake", "tag"])
def test_a_temperature_is_left_as_it_is(tmp_path: Path, route: str) -> None:
    """No route writes over a temperature; the gate takes it for explicit."""
    _light(tmp_path, "3200K")
    survey = workflow.survey(tmp_path / "tea.csv", verify=True)
    plan = workflow.plan(survey, route)
    assert plan_from(plan.as_document({})).operations == ()
    assert workflow.gate(survey).open
