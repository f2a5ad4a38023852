"""A picture that its decoder does not survive costs its frame, and not the report."""

from __future__ import annotations

import sys

import pytest
from tests.inventory.test_apart import deadly, large
from tests.plan import small as s

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.jobs import pictures_apart
from primecoat.report.page.before_after import before_after
from primecoat.report.page.pictures import Picture, pictures
from primecoat.report.page.shown import shown

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


@pytest.fixture(scope="module")
def misread(tmp_path_factory: pytest.TempPathFactory) -> Survey:
    """Two pictures that a person says are read wrongly; sound when they were surveyed."""
    folder = tmp_path_factory.mktemp("tea")
    s.pictures(folder, "cup.png")
    (folder / "deadly.png").write_bytes(large())
    scene = s.gltf(folder / "tea.gltf", ("cup.png", "base_color"), ("deadly.png", "base_color"))
    survey = workflow.survey(scene, workers=1)
    workflow.decide_all(survey, ["cup.png", "deadly.png"], "lin_rec709_scene")
    return workflow.judge_again(survey)


def test_one_frame_stays_empty(misread: Survey) -> None:
    """The kernel does what a crash of the decoder does; the other is as it would be."""
    images = misread.readings.images
    assert [image.record.path for image in images] == ["cup.png", "deadly.png"]
    cup, pot = pictures(images)
    assert cup.source
    assert pot.source
    with deadly("deadly.png") as killed, pictures_apart():
        made = pictures(images)
    assert killed
    assert made == [cup, Picture(caption="the file cannot be read")]


def test_one_pair_is_not_shown(misread: Survey) -> None:
    """The pictures before and after the change are made apart as well."""
    page = shown(misread, frozenset())
    assert str(before_after(page)).count('alt="as ') == 4
    with deadly("deadly.png") as killed, pictures_apart():
        told = str(before_after(page))
    assert killed
    assert told.count('alt="as ') == 2
    assert told.count("cannot be shown: the worker process ended") == 2
