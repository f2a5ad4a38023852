"""A box with saturated walls, and the chart's patches: working spaces against the spectrum."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from primecoat import jobs
from primecoat.colour.ocio import convert
from primecoat.proof.paths.carried import carried, numbers_of, seen
from primecoat.proof.paths.certainty import Figure, figure
from primecoat.proof.paths.model import Camera, Input, Mesh, Point, Stage, Surface
from primecoat.proof.paths.picture import Rendered, difference, exposure_of, render

Colour = tuple[float, float, float]

CHART = Path(__file__).parents[1] / "data/reference/colour-chart__smpte-st-2065-1.csv"

# corners of the unit box; each wall is two triangles
_CORNERS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], np.float32)
_WALLS = {"left": (0, 1, 2, 3), "right": (4, 5, 6, 7), "floor": (0, 1, 4, 5), "roof": (2, 3, 6, 7)}
_BACK = (0, 2, 4, 6)


def box(left: Colour, right: Colour) -> Stage:
    grey = (0.6, 0.6, 0.6)
    colours = {"left": left, "right": right}
    meshes = [wall(corners, colours.get(name, grey)) for name, corners in _WALLS.items()]
    return Stage(
        meshes=(*meshes, wall(_BACK, grey)),
        camera=Camera(place=(0.0, 0.0, 3.4), target=(0.0, 0.0, 0.0), height=0.8),
        lights=(Point(place=(0.0, 0.7, 0.0), intensity=(1.0, 1.0, 1.0)),),
    )


def wall(corners: tuple[int, ...], colour: Colour) -> Mesh:
    return Mesh(
        points=_CORNERS[list(corners)],
        triangles=np.array(((0, 1, 2), (1, 3, 2)), np.int32),
        surface=Surface(name="wall", base_color=Input(factor=colour), gloss=0.0),
    )


@dataclass(frozen=True, kw_only=True)
class Found:
    rec709: Figure
    ap1: Figure
    farther: Figure


def from_spectral(stage: Stage, samples: int = 16) -> Found:
    made = render(stage, (24, 24), samples=samples, workplace=jobs.Workplace(workers=1))
    exposure = exposure_of(made)

    def apart(one: Rendered, basis: str) -> NDArray[np.float32]:
        return difference(one.xyz(basis) * exposure, one.xyz("spectral") * exposure)

    return Found(
        rec709=figure(lambda one: apart(one, "rec709"), made),
        ap1=figure(lambda one: apart(one, "ap1"), made),
        farther=figure(lambda one: apart(one, "rec709") - apart(one, "ap1"), made, signed=True),
    )


def test_grey_walls_are_the_same_in_every_basis():
    """Up to the white of the CIE's tables: 2e-4 of X, Y, Z (as in test_paths) is 0.03 of a*."""
    found = from_spectral(box((0.6, 0.6, 0.6), (0.6, 0.6, 0.6)))
    assert max(found.rec709.value, found.ap1.value) < 0.03
    assert abs(found.farther.value) < 0.01


@pytest.mark.parametrize(
    ("left", "right", "nearer"),
    [
        ((0.9, 0.02, 0.02), (0.02, 0.02, 0.9), "ap1"),
        ((0.9, 0.5, 0.01), (0.01, 0.4, 0.8), "rec709"),
    ],
)
def test_saturated_walls_differ_and_how_sure_that_is(left: Colour, right: Colour, nearer: str):
    """Red by blue is nearer to the spectrum in AP1, orange by azure in Rec.709."""
    found = from_spectral(box(left, right), 64)
    assert found.rec709.sure
    assert found.farther.sure
    assert (found.farther.value > 0) == (nearer == "ap1")
    assert found.farther.value == pytest.approx(found.rec709.value - found.ap1.value, abs=1e-6)
    assert max(found.rec709.value, found.ap1.value) < 1.0


def test_patches_of_the_chart_come_back_from_their_spectra():
    """SMPTE ST 2065-1 patches: all inside Rec.709 within 1e-3."""
    rows = [line.split(",") for line in CHART.read_text().splitlines() if line[:1].isdigit()]
    assert len(rows) == 24
    ap0 = np.array([[float(number) for number in row[2:]] for row in rows])
    rec709 = convert(ap0, "lin_ap0_scene", "lin_rec709_scene")
    inside = rec709.min(axis=1) >= 0
    back = numbers_of(seen(carried(rec709), "spectral"), "rec709")
    assert inside.sum() >= 22
    assert np.abs(back - rec709)[inside].max() < 1e-3
