"""A box with saturated walls, and the chart's patches: working spaces against the spectrum."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from primecoat import jobs
from primecoat.colour.ocio import convert
from primecoat.proof.paths.carried import carried, numbers_of, seen
from primecoat.proof.paths.model import Camera, Input, Mesh, Point, Stage, Surface
from primecoat.proof.paths.picture import Figure, difference, exposure_of, figure, render

CHART = Path(__file__).parents[1] / "data/reference/colour-chart__smpte-st-2065-1.csv"

# corners of the unit box; each wall is two triangles
_CORNERS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], np.float32)
_WALLS = {"left": (0, 1, 2, 3), "right": (4, 5, 6, 7), "floor": (0, 1, 4, 5), "roof": (2, 3, 6, 7)}
_BACK = (0, 2, 4, 6)


def box(left: tuple[float, float, float], right: tuple[float, float, float]) -> Stage:
    grey = (0.6, 0.6, 0.6)
    colours = {"left": left, "right": right}
    meshes = [wall(corners, colours.get(name, grey)) for name, corners in _WALLS.items()]
    return Stage(
        meshes=(*meshes, wall(_BACK, grey)),
        camera=Camera(place=(0.0, 0.0, 3.4), target=(0.0, 0.0, 0.0), height=0.8),
        lights=(Point(place=(0.0, 0.7, 0.0), intensity=(1.0, 1.0, 1.0)),),
    )


def wall(corners: tuple[int, ...], colour: tuple[float, float, float]) -> Mesh:
    return Mesh(
        points=_CORNERS[list(corners)],
        triangles=np.array(((0, 1, 2), (1, 3, 2)), np.int32),
        surface=Surface(name="wall", base_color=Input(factor=colour), gloss=0.0),
    )


def from_spectral(stage: Stage) -> dict[str, Figure]:
    made = render(stage, (24, 24), samples=16, workplace=jobs.Workplace(workers=1))
    exposure = exposure_of(made)

    def apart(basis: str):
        return lambda one: float(
            difference(one.xyz(basis) * exposure, one.xyz("spectral") * exposure).mean()
        )

    return {basis: figure(apart(basis), made) for basis in ("rec709", "ap1")}


def test_grey_walls_are_the_same_in_every_basis():
    """Up to the white of the CIE's tables: 2e-4 of X, Y, Z (as in test_paths) is 0.03 of a*."""
    found = from_spectral(box((0.6, 0.6, 0.6), (0.6, 0.6, 0.6)))
    assert max(one.value for one in found.values()) < 0.03


def test_saturated_walls_differ_and_how_sure_that_is():
    """Figures whatever they are, each told from chance by the spread of its batches."""
    found = from_spectral(box((0.8, 0.03, 0.02), (0.03, 0.5, 0.05)))
    for one in found.values():
        assert one.sure
        assert 0.1 < one.value < 20.0
    assert abs(found["rec709"].value - found["ap1"].value) > 0.05


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
