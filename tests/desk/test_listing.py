"""The list of pictures: what is picked, in which order, how fast with 20,000."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from tests.desk.windows import Window
from tests.reading.worlds import sheet
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.desk.session import State
from primecoat.errors import UseError
from primecoat.findings import finding
from primecoat.reading.judgement import ImageReading, Judgement
from primecoat.workflow.listing import ASKING, ImageList, Pick, image_id, list_images, pick_images
from primecoat.workflow.overview import MOST, overview

MANY = 20_000


@pytest.fixture(scope="module")
def survey(kept_scene: Path) -> Survey:
    return workflow.survey(kept_scene / "tea.gltf")


@pytest.fixture(scope="module")
def large(survey: Survey) -> Survey:
    """A survey of 20,000 pictures with every standing, made of one of three."""
    base = survey.readings.images
    images = tuple(_like(base[n % len(base)], n) for n in range(MANY))
    findings = tuple(
        finding("file_is_missing", image.record.path, "Not there.", "Put it back.")
        for image in images[::10]
    )
    return Survey(readings=replace(survey.readings, images=images), findings=findings)


@pytest.fixture(scope="module")
def images(large: Survey) -> ImageList:
    return list_images(large)


def _like(image: ImageReading, number: int) -> ImageReading:
    path = f"shelf{number % 97:02}/piece_{number * 7919 % MANY:05}.png"
    judgement = Judgement(
        reading=image.reading,
        standing=ASKING[number % len(ASKING)],
        confidence=number % 1000 / 1000,
        candidates=image.judgement.candidates,
    )
    record = replace(image.record, path=path, name=path.rpartition("/")[2])
    return replace(image, record=record, judgement=judgement)


def test_an_id_stays_the_same_and_each_path_has_its_own(images: ImageList):
    assert len({row.id for row in images.rows}) == MANY
    assert image_id("textures/cup.png") == image_id("textures/cup.png")
    image_id("textures/\udcff.png")  # a name on disk that is not UTF-8


def test_rows_say_what_the_survey_says(window: Window, survey: Survey):
    rows = {row["path"]: row for row in window.get("api/images")["rows"]}
    assert list(rows) == sorted(rows)
    for image in survey.readings.images:
        row = rows[image.record.path]
        assert (row["reading"], row["standing"]) == (image.reading, image.standing)
        assert row["reads_today"] == list(
            dict.fromkeys(use.today for use in image.uses if use.scene_use.use.channels != "a")
        )
        own = {f.code for f in survey.findings if f.where == image.record.path}
        assert set(row["findings"]) == own
    assert set(rows["maps/cup.png"]["slots"]) == {"base_color", "opacity"}


def test_one_picture_has_the_whole_story_of_why(window: Window, survey: Survey):
    for path, id in window.ids().items():
        told = window.get(f"api/image/{id}")
        story = workflow.why(survey, path)
        assert [e["words"] for e in told["evidence"]] == [e.words for e in story.evidence]
        assert len(told["uses"]) == len(story.uses)
        header = story.record.header
        assert header is not None
        assert told["size"] == [header.width, header.height]
        assert told["channels"] == list(header.channels)
        assert dict(told["header"])["format"] == header.format


@pytest.mark.parametrize(
    ("pick", "holds"),
    [
        (Pick(words="SHELF07 png"), lambda r: r.path.startswith("shelf07/")),
        (Pick(words="glaze normal"), lambda r: "normal" in r.slots),
        (Pick(standing="likely"), lambda r: r.standing == "likely"),
        (Pick(slot="opacity"), lambda r: "opacity" in r.slots),
        (Pick(owner="glaze"), lambda r: True),
        (Pick(finding="PC401"), lambda r: "PC401" in r.findings),
        (
            Pick(finding="PC401", standing="settled"),
            lambda r: r.findings and r.standing == "settled",
        ),
        (Pick(owner="nobody"), lambda r: False),
    ],
)
def test_what_is_picked_is_what_was_asked_for(
    images: ImageList, pick: Pick, holds: Callable[..., object]
):
    assert pick_images(images, pick).rows == tuple(r for r in images.rows if holds(r))


def test_facets_count_what_each_further_pick_would_leave(images: ImageList):
    pick = Pick(words="shelf1", standing="likely", slot="normal")
    facets = pick_images(images, pick).facets
    for facet in facets:
        for value, count in facets[facet].items():
            assert len(pick_images(images, replace(pick, **{facet: value})).rows) == count


def test_orders(images: ImageList):
    paths = [row.path for row in pick_images(images, Pick()).rows]
    assert paths == sorted(paths)
    standings = [row.standing for row in pick_images(images, Pick(order="standing")).rows]
    assert standings == sorted(standings, key=ASKING.index)
    shares = [row.confidence for row in pick_images(images, Pick(order="confidence")).rows]
    assert shares == sorted(shares)
    with pytest.raises(UseError, match="no order"):
        pick_images(images, Pick(order="colour"))


def test_a_range_of_20_000_pictures_takes_less_than_100_ms(
    window: Window, large: Survey, images: ImageList
):
    """Each pick anew, as when somebody types; and ranges of one, as when somebody scrolls."""
    for words in ("s", "sh", "shelf", "shelf1", "piece_0", "normal", "glaze", ""):
        for order in ("path", "standing", "confidence"):
            began = time.thread_time()
            pick_images(images, Pick(words=words, slot="normal", order=order))
            assert time.thread_time() - began < 0.1
    window.desk.session.state = State(7, large, {}, {})
    window.get("api/images")  # rows are made once for a survey
    took = []
    for begin in range(0, MANY, 2500):
        asked = {"from": begin, "count": 100, "order": "standing", "words": "shelf"}
        began = time.process_time()
        answer = window.get("api/images", **asked)
        took.append(time.process_time() - began)
        assert (answer["all"], answer["version"], len(answer["rows"])) == (MANY, 7, 100)
    assert min(took) < 0.1


def test_a_range_has_an_end(window: Window):
    assert window.get("api/images", **{"from": 2, "count": 50})["rows"][0]["path"] == "maps/odd.png"
    assert window.get("api/images", **{"from": 3})["rows"] == []
    for query in ({"from": -1}, {"count": 501}, {"count": "x"}):
        assert window.ask("api/images", **query).status_code == 400


def test_the_neighbours_of_a_picture_stand_round_it(window: Window, large: Survey):
    """Those of the last of 20,000 too, in any order and among those picked."""
    window.desk.session.state = State(7, large, {}, {})
    asked = {"words": "shelf", "order": "standing"}
    every = []
    for begin in range(0, MANY, 500):
        every += window.get("api/images", **asked, **{"from": begin, "count": 500})["rows"]
    for at in (0, 1, len(every) - 2, len(every) - 1):
        found = window.get("api/images", **asked, around=every[at]["id"], count=3)["rows"]
        beside = every[max(0, at - 1) : at + 2]
        assert [row["id"] for row in found[: len(beside)]] == [row["id"] for row in beside]
    assert window.get("api/images", **asked, around="0" * 16)["rows"] == []


def test_the_overview_counts_and_names_the_worst_first(
    large: Survey, images: ImageList, survey: Survey
):
    told = overview(large, images.rows)
    assert told.counts["images"] == MANY
    assert sum(told.counts[standing] for standing in ASKING) == MANY
    assert [(f.code, f.count) for f in told.findings] == [("PC401", MANY // 10)]
    assert 0 < len(told.todo) <= MOST
    severities = [todo.severity for todo in told.todo]
    assert severities == sorted(severities, key=("error", "warning", "note").index)
    assert not told.ready
    small = overview(survey, list_images(survey).rows)
    assert (small.colours_moving, small.lights_moving) == (1, 1)
    passing = workflow.gate(survey)
    assert small.counts["explicit"] == passing.explicit
    assert "1 colour with other numbers" in small.words


def test_a_conflict_is_named_once(tmp_path: Path):
    """By its finding, whose remedy helps; to decide would not."""
    (tmp_path / "jar.png").write_bytes(b.png())
    scene = sheet(tmp_path, "jar.png,a,base_color,rgb,,", "jar.png,a,roughness,r,,")
    survey = workflow.survey(scene, workers=1)
    rows = list_images(survey).rows
    assert [row.standing for row in rows] == ["conflicting"]
    todo = overview(survey, rows).todo
    assert [one.finding for one in todo if one.severity == "error"] == ["PC103"]
    assert not any(one.standing for one in todo)
