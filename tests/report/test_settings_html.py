from __future__ import annotations

from primecoat import workflow
from primecoat.report.settings import settings
from primecoat.report.settings_html import settings_page


def test_every_setting_has_a_row_to_tick(studio_survey, read_page):
    page = read_page(settings_page(studio_survey))
    rows = settings(studio_survey)
    assert len(page.with_class("tick")) == len(rows)
    for row in rows:
        for column in ("path", "owner", "space", "working", "note"):
            assert row[column] in page.words
    assert "read today as srgb_rec709_scene" in page.words


def test_a_colour_of_unknown_space_has_no_number_to_enter(studio_survey, read_page):
    assert "not known yet" in read_page(settings_page(studio_survey)).words


def test_an_empty_folder_has_only_what_to_check_by_hand(tmp_path, read_page):
    page = read_page(settings_page(workflow.survey(tmp_path)))
    assert [at.get("id") for tag, at in page.elements if tag == "section"] == ["check-by-hand"]


def test_nothing_comes_from_outside(studio_survey, read_page):
    page = read_page(settings_page(studio_survey))
    assert all(link.startswith("#") for link in page.values("href"))
    assert not page.values("src")
    assert "http" not in page.source.replace("http-equiv", "")
