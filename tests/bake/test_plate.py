"""Pictures that are ready for a display, taken back to light through a view."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import colour
import numpy as np
import pytest
import tifffile
from PIL import Image
from tests.bake.files import headers_of, planes_of

from primecoat import workflow
from primecoat.bake.picture import Baked, bake_picture
from primecoat.cli.main import run as command
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW, through_view
from primecoat.errors import UseError
from primecoat.plan.recipe import Storage

AP1, SRGB = "lin_ap1_scene", "srgb_rec709_display"
ACES_1 = "cg-config-v2.2.0_aces-v1.3_ocio-v2.4", "ACES 1.0 - SDR Video"
ACES_2 = DEFAULT_CONFIG, DEFAULT_VIEW


def taken_back(
    picture: Path, config: str, view: str, *, number: str = "float", reading: str = SRGB
) -> tuple[Baked, np.ndarray, np.ndarray]:
    """Return figures of a bake through a view turned round, the light, and what the view shows."""
    target = picture.with_name("light.exr")
    made = bake_picture(
        picture,
        target,
        reading=reading,
        to_space=AP1,
        config=config,
        source_sha256=hashlib.sha256(picture.read_bytes()).hexdigest(),
        storage=Storage(number=number),  # type: ignore[arg-type]
        against=(DEFAULT_DISPLAY, view),
    )
    channels = planes_of(target)
    light = np.stack([channels[name] for name in "RGB"], axis=-1).astype(np.float32)
    return made, light, through_view(light, AP1, DEFAULT_DISPLAY, view, config)


@pytest.fixture
def grid(tmp_path: Path) -> Path:
    """All colours of an 18 x 18 x 18 grid of sRGB codes."""
    steps = np.rint(np.linspace(0, 255, 18)).astype(np.uint8)
    codes = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(54, 108, 3)
    path = tmp_path / "grid.png"
    Image.fromarray(codes).save(path)
    return path


def test_aces_2_shows_every_colour_again(grid: Path) -> None:
    """No colour of the grid comes out off by more than 0.05 of a code.

    Source: a round trip is a design goal of ACES 2 (ACES documentation, *Output Transforms*);
    0.049 was measured on OpenColorIO 2.6.0.
    """
    made, _, shown = taken_back(grid, *ACES_2)
    wanted = np.asarray(Image.open(grid)) / np.float32(255)
    assert 255 * np.abs(shown - wanted).max() <= 0.05
    assert (made.tally.seen, made.tally.unreachable) == (18**3, 0)
    assert made.tally.off <= 0.05
    assert made.tally.residual_p95 <= 0.02


def test_aces_1_does_not(grid: Path) -> None:
    """10.7 % of the grid cannot be shown, by up to 136 codes (measured on OpenColorIO 2.6.0)."""
    made, _, shown = taken_back(grid, *ACES_1)
    wanted = np.asarray(Image.open(grid)) / np.float32(255)
    off = 255 * np.abs(shown - wanted).max(axis=-1)
    assert made.tally.unreachable / made.tally.seen == pytest.approx(0.107, abs=0.001)
    assert made.tally.unreachable == np.count_nonzero(off > 0.5)
    assert made.tally.off == pytest.approx(136, abs=1)
    assert "shows as" in made.tally.worst
    one, other = (colour.XYZ_to_Lab(colour.sRGB_to_XYZ(codes)) for codes in (wanted, shown))
    differences = colour.delta_E(one, other, method="CIE 2000")  # colour-science's own
    assert made.tally.residual_mean == pytest.approx(differences.mean(), abs=0.01)
    assert made.tally.residual_p95 == pytest.approx(np.percentile(differences, 95), abs=0.03)


@pytest.mark.parametrize(
    ("config", "view", "white", "brand"),
    [
        (*ACES_1, 16.29, (0.812, 0.095, 0.070)),
        (*ACES_2, 128.0, (0.980, 0.036, 0.032)),
    ],
)
def test_white_and_a_brand_colour(tmp_path: Path, config, view, white, brand) -> None:
    """The light of white and of #e4002b (measured on OpenColorIO 2.6.0, three decimals)."""
    path = tmp_path / "logo.png"
    Image.fromarray(np.array([[[255, 255, 255], [0xE4, 0x00, 0x2B]]], np.uint8)).save(path)
    _, light, _ = taken_back(path, config, view)
    assert light[0, 0] == pytest.approx([white] * 3, rel=1e-2)
    assert light[0, 1] == pytest.approx(brand, abs=6e-4)


@pytest.mark.parametrize("number", ["half", "float"])
def test_a_plate_comes_out_as_it_was(tmp_path: Path, number: str) -> None:
    """A photograph-like plate with alpha is shown within a code; alpha is bit for bit the same."""
    rng = np.random.default_rng(8)
    rows, columns = np.mgrid[0:128, 0:96] / 128
    smooth = np.stack([rows, columns, (rows + columns) / 2, rows * columns], axis=-1)
    codes = np.clip(255 * smooth + rng.normal(0, 3, smooth.shape), 0, 255).astype(np.uint8)
    path = tmp_path / "plate.png"
    Image.fromarray(codes).save(path)
    made, _, shown = taken_back(path, *ACES_2, number=number)
    assert np.abs(255 * shown - codes[..., :3]).max() <= 1
    assert made.tally.unreachable == 0
    alpha = planes_of(path.with_name("light.exr"))["A"]
    assert np.array_equal(np.rint(255 * alpha.astype(np.float64)), codes[..., 3])


def test_sixteen_bits_and_another_display(tmp_path: Path) -> None:
    """A Display P3 plate is first brought to the codes of the view's display."""
    path = tmp_path / "plate.tif"
    rng = np.random.default_rng(9)
    tifffile.imwrite(path, rng.integers(9000, 50000, (32, 32, 3), dtype=np.uint16))
    _, _, shown = taken_back(path, *ACES_2)
    assert np.abs(shown - tifffile.imread(path) / np.float32(65535)).max() <= 0.05 / 255
    grey = np.full((4, 4, 3), 0x8000, np.uint16)
    tifffile.imwrite(path, grey)
    _, light, _ = taken_back(path, *ACES_2)
    _, from_p3, _ = taken_back(path, *ACES_2, reading="srgb_p3d65_display")
    assert np.allclose(light, from_p3, rtol=1e-4)


def test_the_record_names_the_view(grid: Path) -> None:
    """Who opens the file finds which view it holds for; the same recipe gives the same bytes."""
    taken_back(grid, *ACES_2)
    first = grid.with_name("light.exr").read_bytes()
    header = headers_of(grid.with_name("light.exr"))[0]
    assert f"against {DEFAULT_VIEW} on {DEFAULT_DISPLAY}" in str(header["primecoat:baked"])
    taken_back(grid, *ACES_2)
    assert grid.with_name("light.exr").read_bytes() == first


def scene(folder: Path, slot: str) -> Path:
    """Write a sheet with one plate that a person calls ready for a display."""
    Image.fromarray(np.full((8, 8, 3), 200, np.uint8)).save(folder / "plate.png")
    path = folder / "tea.csv"
    with path.open("w", newline="", encoding="utf-8") as stream:
        table = csv.writer(stream)
        table.writerow(["path", "owner", "slot", "channels", "space", "value"])
        table.writerow(["plate.png", "shop window", slot, "rgb", "", ""])
    survey = workflow.survey(path, workers=1)
    workflow.decide(survey, "plate.png", SRGB, because="it is finished")
    return path


def test_a_backplate_is_planned_and_told_of(tmp_path: Path, capsys) -> None:
    """Without a view it is held; with one it is baked, and a note says for which view it holds."""
    path = scene(tmp_path, "backplate")
    plan = str(tmp_path / "plan.json")
    words = ["plan", str(path), "--route", "bake", "--out", plan, "--root", str(tmp_path)]
    assert command(words) == 1
    assert "--against" in capsys.readouterr().out
    command([*words, "--against", DEFAULT_VIEW])
    assert "PC413" in capsys.readouterr().out
    assert command(["apply", plan]) == 0
    assert "0.0 % of its pixels cannot be shown by the view" in " ".join(
        capsys.readouterr().out.split()
    )
    assert (tmp_path / f"plate_{AP1}.exr").exists()
    command([*words, "--against", DEFAULT_VIEW])
    assert "0 operations" in capsys.readouterr().out


@pytest.mark.parametrize("slot", ["base_color", "specular_color", "environment"])
def test_no_surface_takes_a_plate(tmp_path: Path, slot: str) -> None:
    """In a slot of a surface, or of what lights it, a plate is held: white is no reflectance."""
    survey = workflow.survey(scene(tmp_path, slot), verify=True, workers=1)
    made = workflow.plan(survey, "bake", against=(DEFAULT_DISPLAY, DEFAULT_VIEW))
    assert [held.where for held in made.held] == ["plate.png"]
    assert slot in made.held[0].why


def test_wrong_use(tmp_path: Path) -> None:
    """A view that is not there, and a route that bakes nothing, are refused before anything."""
    survey = workflow.survey(scene(tmp_path, "backplate"), verify=True, workers=1)
    with pytest.raises(UseError, match="has no view moon"):
        workflow.plan(survey, "bake", against=(DEFAULT_DISPLAY, "moon"))
    with pytest.raises(UseError, match="Only a bake"):
        workflow.plan(survey, "tag", against=(DEFAULT_DISPLAY, DEFAULT_VIEW))
