from __future__ import annotations

import base64
import csv
import re
from dataclasses import replace

import numpy as np
import pytest

from primecoat import workflow
from primecoat.images.oiio import write_pixels
from primecoat.location import printable
from primecoat.report.html import report_page
from primecoat.report.settings import CHECK_BY_HAND

BIDI = "\u202e"


@pytest.fixture(scope="module")
def page(studio_survey, read_page):
    return read_page(report_page(studio_survey))


def test_every_picture_is_there_by_its_path(page, studio_survey):
    assert len(studio_survey.readings.images) == 5
    for image in studio_survey.readings.images:
        assert image.record.path in page.words
        assert f"{image.record.path}: {image.standing}" in page.values("title")


def test_every_finding_is_there_with_its_remedy_worst_first(page, studio_survey):
    assert {f.severity for f in studio_survey.findings} >= {"error", "warning"}
    for finding in studio_survey.findings:
        for words in (finding.code, finding.message, finding.remedy):
            assert printable(words) in page.words
    order = [page.words.index(printable(f.message)) for f in studio_survey.findings]
    by_severity = {"error": 0, "warning": 1, "note": 2}
    ranked = sorted(zip(order, studio_survey.findings, strict=True), key=lambda pair: pair[0])
    ranks = [by_severity[finding.severity] for _, finding in ranked]
    assert ranks == sorted(ranks)


def test_everything_left_to_a_guess_is_there_with_its_remedy(page, studio_survey):
    left = workflow.gate(studio_survey).left
    assert left
    target = studio_survey.readings.inventory.target
    for held in left:
        assert held.where in page.words
        assert held.why in page.words
        # a page that is handed on names the target, not where it lies on one machine
        assert held.remedy.replace(str(target), target.name) in page.words


def test_all_evidence_is_there_in_words_with_its_weight(page, studio_survey):
    for image in studio_survey.readings.images:
        for item in image.evidence:
            assert printable(item.words) in page.words
            assert item.set_aside in page.words
            assert f"{0.0 if item.set_aside else item.strength:.1f}" in page.words


def test_it_says_what_happens_today_and_what_is_needed(page, studio_survey):
    for image in studio_survey.readings.images:
        for use in image.uses:
            assert f"{use.today} {use.today_why}" in page.words
    assert "glaze_color_srgb_rec709_scene.png" in page.words
    assert "glaze_rough_data.png" in page.words


def test_nothing_comes_from_outside(page):
    links = page.values("href") + page.values("src")
    assert links
    assert all(link.startswith("#") for link in links)
    assert not re.search(r"https?://|@import|//[a-z]", page.source)
    sources = re.findall(r"url\(([^)]*)\)", page.source)
    assert all(source.startswith("data:image/png;base64,") for source in sources)
    assert not {"script", "link", "iframe", "object", "form"} & {tag for tag, _ in page.elements}
    assert not [name for _, at in page.elements for name in at if name.startswith("on")]
    policy = next(v for v in page.values("content") if v.startswith("default-src"))
    assert policy == "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


def test_every_link_leads_somewhere_and_no_anchor_stands_twice(page):
    anchors = page.values("id")
    assert len(set(anchors)) == len(anchors)
    assert {link[1:] for link in page.values("href")} <= set(anchors)


def test_pictures_that_can_be_read_are_shown_and_the_others_say_why(page):
    sources = re.findall(r"url\(data:image/png;base64,([^)]*)\)", page.source)
    assert len(sources) == 3
    assert all(base64.b64decode(source).startswith(b"\x89PNG") for source in sources)
    assert len(page.with_class("missing")) == 4  # on the contact sheet, and in its entry
    assert "the file is missing" in page.words
    assert "the file cannot be read" in page.words
    assert "through the view" in page.words
    assert "plain, as stored" in page.words


def test_colours_stand_with_both_numbers_and_swatches_that_say_they_are_clipped(page):
    lamp = "0 0.9 0.1"  # out of sRGB once its numbers are taken for AP1
    assert lamp in page.words
    assert "clipped" in page.words
    backgrounds = [s for s in page.values("style") if s.startswith("background:#")]
    assert backgrounds[0] == "background:#00f359"  # 243.4 and 89.04 by IEC 61966-2-1
    assert "not known until its space is" in page.words  # the ribbon


def test_many_values_at_one_place_say_how_far_they_reach(studio_survey, read_page):
    readings = studio_survey.readings
    first, *others = readings.colours
    wide = replace(first.value, count=24, maximum=(0.9, 0.8, 0.7))
    colours = (replace(first, value=wide), *others)
    survey = replace(studio_survey, readings=replace(readings, colours=colours))
    words = read_page(report_page(survey)).words
    assert "the least of 24 values, up to 0.9 0.8 0.7 by channel" in words


def test_it_ends_with_the_way_back_and_what_to_check_by_hand(page, studio):
    assert f"primecoat undo {studio.name}" in page.words
    for what, why in CHECK_BY_HAND:
        assert what in page.words
        assert why in page.words


def test_the_same_survey_gives_the_same_page(page, studio_survey):
    assert report_page(studio_survey) == page.source


def test_an_empty_folder_gives_a_page(tmp_path, read_page):
    page = read_page(report_page(workflow.survey(tmp_path)))
    assert "Nothing to prime" in page.words
    assert "There is no picture here." in page.words


def test_a_scene_with_nothing_left_open_is_called_ready(tmp_path, read_page):
    pixels = np.random.default_rng(1).integers(0, 255, (8, 8, 3), dtype=np.uint8)
    write_pixels(tmp_path / "cup_color_srgb_rec709_scene.png", pixels)
    (tmp_path / "cup.csv").write_text(
        "path,owner,slot,space\ncup_color_srgb_rec709_scene.png,cup,base_color,srgb_texture\n"
    )
    survey = workflow.survey(tmp_path)
    assert workflow.gate(survey).open
    page = read_page(report_page(survey))
    assert "Ready for lin_ap1_scene." in page.words
    assert "1 of 1 pictures, colours and lights" in page.words
    assert "1 picture already right: nothing changes." in page.words
    assert not page.with_class("ringed")


def test_names_that_try_to_break_out_stay_text(tmp_path, read_page):
    names = (
        '<script>alert("x")</script>.png',
        f"a{BIDI}gnp.png",
        "x' onload='y&lt;.png",
        "b\n.png",
    )
    owner = '"><img src=x onerror=alert(1)>'
    sheet = tmp_path / "scene.csv"
    with sheet.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(
            [("path", "owner", "slot"), *((name, owner, "base_color") for name in names)]
        )
    survey = workflow.survey(sheet)
    page = read_page(report_page(survey))
    assert len(survey.readings.images) == len(names)
    assert not {"script", "img", "x"} & {tag for tag, _ in page.elements}
    assert BIDI not in page.source
    assert "<script>" not in page.source
    for image in survey.readings.images:
        assert printable(image.record.path) in page.words
    assert owner in page.words
    assert "b\\n.png" in page.words


def test_a_picture_inside_a_scene_file_is_shown(embedded_survey, read_page):
    page = read_page(report_page(embedded_survey))
    assert page.source.count("url(data:image/png;base64,") == 1
    assert "taken out of the scene file into a file of its own" in page.words


def test_originals_that_were_replaced_do_not_count(studio_survey, read_page):
    gone = "textures/glaze_color.png"
    page = read_page(report_page(studio_survey, superseded=frozenset({gone, "shop.csv"})))
    assert gone not in page.words
    assert not any(gone in title for title in page.values("title"))
    assert len(page.with_class("entry")) == len(studio_survey.readings.images) - 1
    assert "1 original that an earlier run replaced by a tagged name" in page.words


def test_the_size_of_thumbnails_keeps_many_pictures_light(tmp_path, read_page):
    pixels = np.random.default_rng(2).integers(0, 255, (200, 200, 3), dtype=np.uint8)
    for number in range(170):
        write_pixels(tmp_path / f"pebble_{chr(97 + number % 26)}{number // 26}x_color.png", pixels)
    page = read_page(report_page(workflow.survey(tmp_path, workers=1)))
    first = re.search(r"url\(data:image/png;base64,([^)]*)\)", page.source)
    assert first is not None
    header = base64.b64decode(first[1])[16:24]
    assert int.from_bytes(header[:4], "big") == 96
    assert page.source.count("url(") == 170
