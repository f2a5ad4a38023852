"""A picture that its decoder does not survive costs its frame, and not the report."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from tests.inventory.test_apart import deadly, large
from tests.plan import small as s

from primecoat import workflow
from primecoat.jobs import pictures_apart
from primecoat.report.page.pictures import pictures

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


def test_one_frame_stays_empty(tmp_path: Path) -> None:
    """It was sound when it was surveyed; the kernel does what a crash of its decoder does."""
    s.pictures(tmp_path, "cup.png", "jug.png")
    (tmp_path / "deadly.png").write_bytes(large())
    survey = workflow.survey(tmp_path, workers=1)
    images = survey.readings.images
    plain = pictures(images)
    assert all(one.source for one in plain)
    with deadly("deadly.png") as killed, pictures_apart():
        made = pictures(images)
    assert killed
    shown = {i.record.path: one for i, one in zip(images, made, strict=True)}
    assert shown["deadly.png"].source == ""
    assert shown["deadly.png"].caption == "the file cannot be read"
    for image, one in zip(images, plain, strict=True):
        if image.record.path != "deadly.png":
            assert shown[image.record.path] == one, "the others are as they would be"


def test_one_pair_is_not_shown(tmp_path: Path) -> None:
    """The pictures before and after the change are made apart as well, and the report is whole."""
    s.pictures(tmp_path, "cup.png")
    (tmp_path / "deadly.png").write_bytes(large())
    scene = s.gltf(tmp_path / "tea.gltf", ("cup.png", "base_color"), ("deadly.png", "base_color"))
    survey = workflow.survey(scene, workers=1)
    workflow.decide_all(survey, ["cup.png", "deadly.png"], "lin_rec709_scene")
    survey = workflow.judge_again(survey)
    plain = workflow.report(survey)
    assert plain.count('alt="as ') == 4
    with deadly("deadly.png") as killed, pictures_apart():
        page = workflow.report(survey)
    assert killed
    assert page.count('alt="as ') == 2
    assert page.count("cannot be shown: the worker process ended") == 2
