"""The picture as read after the declare route is the picture as read after the bake route."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from primecoat import workflow
from primecoat.bake.stored_numbers import as_values
from primecoat.colour.ids import DATA
from primecoat.colour.ocio import convert
from primecoat.images.oiio import read_pixels
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import split_name

SPACE = "lin_ap1_scene"
HALF_STEP = 2.0**-11
"""Greatest relative rounding error of a half float (IEEE 754-2008, binary16: 11 bits)."""

SMALLEST = 2.0**-24
"""Smallest half float; below it errors are absolute."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, written_clean: Path) -> Path:
    """Return the clean demo."""
    return shutil.copytree(written_clean, tmp_path_factory.mktemp("routes") / "tea")


def _pictures(scene: Path, route: str) -> dict[str, list[NDArray[np.float32]]]:
    """Return every picture of a scene in the working space, as its primed twin has it read."""
    survey = workflow.survey(scene, verify=True)
    done = workflow.apply(workflow.plan(survey, route, with_likely=True))
    primed = scene.with_name(f"{scene.stem}.primed{scene.suffix}") if done else scene
    images = workflow.survey(primed, verify=True).readings.images
    found = {_use(image): _read(image) for image in images}
    if done:
        workflow.undo(scene)
    return found


def _use(image: ImageReading) -> str:
    use = image.uses[0].scene_use.use
    return f"{split_name(image.record.name).stem} in {use.slot} of {use.owner}"


def _read(image: ImageReading) -> list[NDArray[np.float32]]:
    values = [as_values(read_pixels(file)) for file in image.record.files]
    if image.reading in (DATA, SPACE):
        return values
    colour = [np.ascontiguousarray(v[..., :3]) for v in values]
    return [convert(c, image.reading, SPACE) for c in colour]


@pytest.mark.parametrize("name", ["tea.mtlx", "tea.usda", "tea.csv"])
def test_the_same_picture_by_either_route(name: str, demo: Path) -> None:
    """For every picture, the two differ by no more than the rounding of half floats."""
    declared, baked = (_pictures(demo / name, route) for route in ("declare", "bake"))
    assert declared.keys() == baked.keys()
    for picture, one in declared.items():
        for exact, half in zip(one, baked[picture], strict=True):
            colour = half[..., : exact.shape[-1]]
            error = np.abs(colour - exact[..., : colour.shape[-1]])
            assert (error <= np.abs(exact) * HALF_STEP + SMALLEST).all(), picture
