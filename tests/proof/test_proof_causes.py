"""The demo with planted misreadings: named, in the order of what they do, and gone when mended."""

from __future__ import annotations

import shutil

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.demo import write_demo
from primecoat.images.oiio import read_pixels, write_pixels

SIZE, SAMPLES = (64, 36), 8
PAVING, OAK, BOWL = (
    "textures/paving_color.jpg",
    "textures/oak_board_color.jpg",
    "textures/bowl_color.png",
)


@pytest.fixture(scope="module")
def scene(tmp_path_factory):
    folder = tmp_path_factory.mktemp("proof") / "tea"
    write_demo(folder)
    return folder / "tea.gltf"


def proved(scene):
    survey = workflow.survey(scene)
    return workflow.proof(survey, size=SIZE, samples=SAMPLES, workers=1)


def test_planted_misreadings_are_the_largest_causes_in_order_and_vanish(scene, tmp_path):
    """A floor stored as light (half of the picture), oak at gamma 1.8, a bowl in Display P3."""
    kept = tmp_path / "kept"
    shutil.copytree(scene.parent / "textures", kept)
    plain = proved(scene)
    assert plain.misread == ()
    for path, space in ((PAVING, "lin_rec709_scene"), (OAK, "g18_rec709_scene")):
        file = scene.parent / path
        codes = read_pixels(file).astype(np.float32) / 255
        other = convert(codes, "srgb_rec709_scene", space)
        write_pixels(file, np.rint(other * 255).clip(0, 255).astype(np.uint8))
        workflow.decide(workflow.survey(scene), path, space)
    workflow.decide(workflow.survey(scene), BOWL, "srgb_p3d65_scene")
    found = proved(scene)
    assert {one.path for one in found.misread} == {PAVING, OAK, BOWL}
    assert found.causes is not None
    images = [one for one in found.causes.causes if one.kind == "image"]
    assert [one.name for one in images] == [PAVING, OAK, BOWL]
    assert all(one.shown for one in images)
    assert found.causes.causes[0].name == PAVING
    # what is read as it must be is the picture as it was, within 8-bit codes and JPEG
    look = plain.look("ap1")
    apart = np.abs(look.codes(found.new) - look.codes(plain.new))
    assert float(apart.mean()) < 0.01
    for path in (PAVING, OAK):
        shutil.copy(kept / path.rpartition("/")[2], scene.parent / path)
    for path in (PAVING, OAK, BOWL):
        workflow.decide(workflow.survey(scene), path, "unknown")
    mended = proved(scene)
    assert mended.misread == ()
    assert mended.causes is not None
    assert [one for one in mended.causes.causes if one.images] == []
    assert mended.change.value == pytest.approx(plain.change.value)
