"""Planted misreadings in the demo: named first, before any other cause, gone when mended."""

from __future__ import annotations

import shutil

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.images.oiio import read_pixels, write_pixels

SIZE, SAMPLES = (48, 27), 8
PLANTED = ("textures/paving_color.jpg", "textures/oak_board_color.jpg", "textures/cloth_color.png")
"""Floor, table and cloth, each a fifth to a quarter of the picture, the floor in full light."""


def proved(scene, causes, size=SIZE):
    survey = workflow.survey(scene)
    return workflow.proof(survey, size=size, samples=SAMPLES, causes=causes, workers=1)


def test_planted_misreadings_are_the_largest_causes_and_vanish(tea, demo_folder):
    """Three pictures that hold light, where sRGB is read today: the code that a decode makes of
    light is far too dark, which no working space does."""
    scene = tea / "tea.gltf"
    plain = proved(scene, 0)
    assert plain.misread == ()
    for path in PLANTED:
        codes = read_pixels(tea / path).astype(np.float32) / 255
        light = convert(codes, "srgb_rec709_scene", "lin_rec709_scene")
        write_pixels(tea / path, np.rint(light * 255).clip(0, 255).astype(np.uint8))
    survey = workflow.survey(scene)
    for path in PLANTED:
        workflow.decide(survey, path, "lin_rec709_scene")
    found = proved(scene, 8)
    assert {one.path for one in found.misread} == set(PLANTED)
    assert found.causes is not None
    first = found.causes.causes[:3]
    assert {one.name for one in first} == set(PLANTED)
    assert all(one.kind == "image" and one.shown and not one.floor for one in first)
    effects = [one.effect for one in found.causes.causes]
    assert effects == sorted(effects, reverse=True)
    # what the working space alone does to a light that is not converted has the other sign of
    # interaction, and both are shown as such
    others = {one.kind: one for one in found.causes.causes[3:]}
    assert others["lights"].interaction > 1.0
    assert others["working space"].interaction < -1.0
    # what is read as it must be is the picture as it was, within 8-bit codes and JPEG
    look = plain.look("ap1")
    apart = np.abs(look.codes(found.new) - look.codes(plain.new))
    assert float(apart.mean()) < 0.02
    for path in PLANTED:
        shutil.copy(demo_folder / path, tea / path)
        workflow.decide(survey, path, "unknown")
    mended = proved(scene, 0)
    assert mended.kept  # the state is what it was before, so the first proof is read back
    assert mended.change == plain.change
    split = proved(scene, 8, (16, 9))
    assert (split.kept, split.misread) == (False, ())
    assert split.causes is not None
    assert [one for one in split.causes.causes if one.images] == []
