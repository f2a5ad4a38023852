"""Planted misreadings in the demo: named first, in their right order, gone when mended."""

from __future__ import annotations

from itertools import pairwise

import colour
import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")
pytest.importorskip("pxr", reason="the extra 'usd' is not installed")

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.images.oiio import read_pixels, write_pixels
from primecoat.proof.paths.sight import Look

SCENE = "tea.usda"
D65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
PLANTED = {
    "textures/courtyard_environment.exr": "srgb_rec709_scene",
    "textures/paving_color.jpg": "lin_rec709_scene",
    "textures/wall_color.jpg": "lin_rec709_scene",
}
"""What three pictures hold after planting; the program reads each as it did before.

The greatest first, as a person would guess: display codes for light are far too bright in an
environment, and that is seen on everything; light decoded as if it were sRGB is far too dark, on a
floor that fills most of the picture more so than on a wall behind it that was made brighter, where
the curve bends less.
"""


def plant(scene, path):
    """Write a picture anew, as somebody would have saved it in the wrong space."""
    stored = read_pixels(scene / path).astype(np.float32)
    if path.endswith(".exr"):
        write_pixels(scene / path, convert(stored, "lin_rec709_scene", PLANTED[path]))
    else:
        write_codes(scene / path, convert(stored / 255, "srgb_rec709_scene", PLANTED[path]))


def write_codes(path, numbers):
    write_pixels(path, np.rint(numbers * 255).clip(0, 255).astype(np.uint8))


def brighten(path, gain):
    light = convert(
        read_pixels(path).astype(np.float32) / 255, "srgb_rec709_scene", "lin_rec709_scene"
    )
    write_codes(path, convert(light * np.float32(gain), "lin_rec709_scene", "srgb_rec709_scene"))


def proved(scene, causes=0, size=(48, 27), samples=16):
    survey = workflow.survey(scene / SCENE)
    return workflow.proof(survey, size=size, samples=samples, causes=causes, workers=1)


def today(scene):
    """A proof of the scene with four times the paths, for today's picture of it."""
    return proved(scene, samples=64)


def apart(one, other):
    """Mean CIEDE2000 between today's pictures of two proofs, by colour-science."""
    sight = one.sights[0]
    look = Look(basis="rec709", exposure=one.exposure, sight=sight)
    a, b = (colour.XYZ_to_Lab(sight.light(look.codes(found.old)), D65) for found in (one, other))
    return float(np.mean(colour.delta_E(a, b, method="CIE 2000")))


def test_planted_misreadings_are_the_largest_causes_in_their_order_and_vanish(tea):
    scene = tea / SCENE
    brighten(tea / "textures/wall_color.jpg", 1.5)
    plain = proved(tea)
    assert plain.misread == ()
    sound = {path: (tea / path).read_bytes() for path in PLANTED}
    survey = workflow.survey(scene)
    for path, reading in PLANTED.items():
        plant(tea, path)
        workflow.decide(survey, path, reading)
    found = proved(tea, 8)
    assert {one.path for one in found.misread} == set(PLANTED)
    assert found.causes is not None
    causes = found.causes.causes
    assert [one.name for one in causes[:3]] == list(PLANTED)
    assert all(one.kind == "image" and one.shown for one in causes[:3])
    # no order by chance: each is plainly greater than the next, the last than any other cause
    assert all(more.effect > 1.25 * less.effect for more, less in pairwise(causes[:4]))
    # what the working space alone does to a light that is not converted has the other sign of
    # interaction, and both are shown as such
    others = {one.kind: one for one in causes[3:]}
    assert others["lights"].interaction > 1.0
    assert others["working space"].interaction < -1.0
    # it is the right order: each picture laid as it was, the others left, and four times the paths
    whole = today(tea)
    mended = []
    for path, reading in PLANTED.items():
        planted = (tea / path).read_bytes()
        (tea / path).write_bytes(sound[path])
        workflow.decide(survey, path, "unknown")
        mended.append(apart(whole, today(tea)))
        (tea / path).write_bytes(planted)
        workflow.decide(survey, path, reading)
    assert all(more > 1.25 * less for more, less in pairwise(mended))
    assert mended == pytest.approx([one.alone.value for one in causes[:3]], rel=0.1)
    # what is read as it must be is the picture as it was, within 8-bit codes and JPEG
    look = plain.look("ap1")
    assert float(np.abs(look.codes(found.new) - look.codes(plain.new)).mean()) < 0.02
    for path, held in sound.items():
        (tea / path).write_bytes(held)
        workflow.decide(survey, path, "unknown")
    again = proved(tea)
    assert again.kept  # the state is what it was before, so the first proof is read back
    assert again.change == plain.change
    split = proved(tea, 8, (16, 9))
    assert (split.kept, split.misread) == (False, ())
    assert split.causes is not None
    assert [one for one in split.causes.causes if one.images] == []
