"""What a report tells beyond the survey: what was done and why, renders, codes; other forms."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np
import pytest

from primecoat import workflow
from primecoat.cli.main import run
from primecoat.errors import InputError, UseError
from primecoat.findings.catalogue import CATALOGUE
from primecoat.findings.explained import explained
from primecoat.images.oiio import write_pixels

BECAUSE = "painted by eye, =never calibrated"

STAGE = """#usda 1.0
def Material "glaze" {
  token outputs:surface.connect = </glaze/s.outputs:surface>
  def Shader "s" {
    uniform token info:id = "UsdPreviewSurface"
    color3f inputs:diffuseColor.connect = </glaze/t.outputs:rgb>
    token outputs:surface
  }
  def Shader "t" {
    uniform token info:id = "UsdUVTexture"
    asset inputs:file = @glaze_color.png@
    token inputs:sourceColorSpace = "raw"
    float3 outputs:rgb
  }
}
"""


@pytest.fixture
def kiln(tmp_path: Path) -> Path:
    """A scene that declares its glaze raw, against a person's word; its tag plan is applied."""
    pixels = np.random.default_rng(3).integers(40, 200, (8, 8, 3), dtype=np.uint8)
    write_pixels(tmp_path / "glaze_color.png", pixels)
    scene = tmp_path / "kiln.usda"
    scene.write_text(STAGE, encoding="utf-8")
    workflow.decide(surveyed(scene), "glaze_color.png", "srgb_rec709_scene", because=BECAUSE)
    workflow.apply(workflow.plan(surveyed(scene), "tag"))
    return scene


def surveyed(scene: Path):
    return workflow.survey(scene, from_space="lin_rec709_scene")


def document(tmp_path: Path, name: str, **content: object) -> Path:
    path = tmp_path / f"{name}.json"
    path.write_text(json.dumps({"document": f"primecoat.{name}/1", **content}), encoding="utf-8")
    return path


def test_it_says_who_decided_what_and_why_and_what_was_applied(kiln, read_page):
    words = read_page(workflow.report(surveyed(kiln))).words
    assert BECAUSE in words
    assert "glaze_color.png -> glaze_color_srgb_rec709_scene.png" in words
    assert "Applied, and it stands." in words
    workflow.undo(kiln)
    assert "Applied and taken back" in read_page(workflow.report(surveyed(kiln))).words


def test_a_misread_picture_is_shown_as_it_would_come_in_and_as_it_must(kiln, read_page):
    page = read_page(workflow.report(surveyed(kiln)))
    assert page.values("alt") == ["as data", "as srgb_rec709_scene"]
    old, new = page.values("src")
    assert old.startswith("data:image/png;base64,")
    assert old != new


def test_every_code_that_was_found_is_explained_and_linked(studio_survey, read_page):
    page = read_page(workflow.report(studio_survey))
    found = {finding.code for finding in studio_survey.findings}
    assert found <= {name.removeprefix("code-") for name in page.values("id")}
    assert {f"#code-{code}" for code in found} <= set(page.values("href"))
    assert all(explained(code).title in page.words for code in found)
    assert all(link.startswith("#") for link in page.values("href"))


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_every_code_has_words(code):
    told = explained(code)
    assert told.title
    assert told.meaning
    assert told.todo


def test_a_code_that_is_none_has_no_words():
    with pytest.raises(KeyError):
        explained("PC999")


def test_renders_are_told(tmp_path, studio_survey, read_page):
    render = {"path": "tea.exr", "space": "lin_ap1_scene", "view": "Soft", "display": "Screen"}
    spread = {"mean": 1.25, "p50": 1, "p95": 2.5, "p99": 3, "max": 7.75}
    compared = document(
        tmp_path, "compare", a=render, b=render, exposure_stops=-0.00001, ciede2000=spread
    )
    matched = document(
        tmp_path,
        "match",
        old=render,
        new=render,
        exposure_stops=1.0424,
        contrast=1.089,
        saturation=1.17,
        acts_on="ACEScct",
        clamps=False,
        files=["look.cdl"],
        steps=[{"residual": {"mean": 16.3, "p95": 18.1}}],
        residual={"mean": 2.71, "p95": 6.62},
    )
    words = read_page(workflow.report(studio_survey, attached=[compared, matched])).words
    for told in ("+0.000 stops", "7.75", "+1.0424 stops", "16.30", "look.cdl", "match.json"):
        assert told in words


def test_a_document_that_is_not_whole_is_refused(tmp_path, studio_survey):
    half = document(tmp_path, "handover", files=[])
    with pytest.raises(InputError, match="not a whole"):
        workflow.report(studio_survey, attached=[half])
    with pytest.raises(UseError, match="cannot be told"):
        workflow.report(studio_survey, attached=[document(tmp_path, "survey")])


def test_json_holds_the_survey_and_all_else(kiln):
    told = json.loads(workflow.report(surveyed(kiln), form="json"))
    assert told["document"] == "primecoat.report/1"
    assert told["survey"]["document"] == "primecoat.survey/1"
    assert told["decisions"][0]["because"] == BECAUSE
    assert told["runs"][0]["state"] == "stands"
    assert told["runs"][0]["when"]
    assert {row["section"] for row in told["settings"]} >= {"images", "check by hand"}
    assert set(told["codes"]) == {finding["code"] for finding in told["survey"]["findings"]}


def test_csv_has_a_row_for_everything_and_no_formula(kiln):
    survey = surveyed(kiln)
    rows = list(csv.DictReader(io.StringIO(workflow.report(survey, form="csv"))))
    kinds = [row["what"] for row in rows]
    assert kinds.count("picture") == len(survey.readings.images)
    assert kinds.count("finding") == len(survey.findings)
    assert rows[0]["because"] == BECAUSE
    assert not [cell for row in rows for cell in row.values() if cell[:1] in tuple("=+@")]


def test_the_ending_chooses_the_form_and_no_other_document_is_written_over(kiln, capsys):
    out = kiln.parent / "report.json"
    ask = ["report", str(kiln), "--from", "lin_rec709_scene", "--out"]
    assert run([*ask, str(out)]) in (0, 1)
    assert run([*ask, str(out)]) in (0, 1)
    other = document(kiln.parent, "match")
    assert run([*ask, str(other)]) == 2
    assert run([*ask, str(kiln.parent / "report.pdf")]) == 2
    assert "ends in .html" in capsys.readouterr().err
