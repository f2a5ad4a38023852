"""Readings of real pictures, from an open package; see ``conftest.py`` for the source."""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from primecoat import workflow
from primecoat.images.normal_map import judge_normal_map

pytestmark = pytest.mark.open_data


def _contents(folder: Path) -> Counter[tuple[str, str]]:
    images = workflow.survey(folder, workers=2).readings.images
    return Counter((image.content, image.reading) for image in images)


def test_real_normal_maps_are_data_by_their_pixels_alone(open_pictures: Path) -> None:
    """Named 0000.webp and up, in no slot: only the pixels can tell; none is called damaged."""
    survey = workflow.survey(open_pictures / "normals", without=["name", "siblings"])
    images = survey.readings.images
    assert len(images) == 29
    normal = [i for i in images if i.content == "normal" and i.reading == "data"]
    # 0021.webp lost its fine chroma to the codec: what is left moves all channels by one amount.
    assert len(normal) == 29
    assert not [f for f in survey.findings if f.code == "PC301"]


def test_real_spheres_and_textures_are_not_taken_for_normal_maps(open_pictures: Path) -> None:
    """Lit spheres are colour; the one that shows a sphere's normals as colours is the exception."""
    for folder in ("matcaps", "textures"):
        for image in workflow.survey(open_pictures / folder, workers=2).readings.images:
            statistics = image.record.statistics
            judged = judge_normal_map(statistics) if statistics else None
            assert judged is None or not judged.is_normal or image.record.name == "0148.webp"


def test_nothing_real_is_settled_without_slot_name_or_statement(open_pictures: Path) -> None:
    """Colour without slot, word or statement is at most likely; environments stay unknown."""
    for folder in ("matcaps", "textures", "hdri"):
        for image in workflow.survey(open_pictures / folder, workers=2).readings.images:
            assert image.standing != "settled" or image.record.name == "0148.webp"
    contents = _contents(open_pictures / "hdri")
    assert contents == Counter({("unknown", "unknown"): 18})


def test_real_environments_are_likely_linear_rec709(open_pictures: Path, tmp_path: Path) -> None:
    """HDR environments are linear with Rec.709 primaries (common practice, no source).

    In an environment slot the practice makes the reading likely; it never settles it.
    """
    names = sorted(path.name for path in (open_pictures / "hdri").glob("*.exr"))
    for name in names:
        (tmp_path / name).symlink_to(open_pictures / "hdri" / name)
    with (tmp_path / "sky.csv").open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow(["path", "owner", "slot"])
        writer.writerows([name, "sky", "environment"] for name in names)
    survey = workflow.survey(tmp_path / "sky.csv", roots=[tmp_path, open_pictures])
    images = survey.readings.images
    assert {(i.reading, i.standing) for i in images} == {("lin_rec709_scene", "likely")}
    found = {finding.code for finding in survey.findings}
    assert found <= {"PC304", "PC305", "PC316"}  # ringing below zero, flat lamps: true of them
