"""How the old render was seen: its corrections, its view, its display; and what is refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.renders.balls import balls, noisy, written
from tests.renders.correction_writers import cc, cube_3d

import primecoat
from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW, convert
from primecoat.errors import UseError
from primecoat.images.oiio import read_pixels
from primecoat.renders.match.model import Match

AP1, REC709, SRGB = "lin_ap1_scene", "lin_rec709_scene", "srgb_rec709_display"
PLAIN = "Un-tone-mapped"
ACES_1_3 = "studio-config-v1.0.0_aces-v1.3_ocio-v2.1"

LIGHT_THEN_CODES = f"""
[[correction]]
space = "{REC709}"
exposure = 0.5
[[correction]]
space = "{SRGB}"
power = 1.1
"""
CODES_THEN_LIGHT = f"""
[[correction]]
space = "{SRGB}"
power = 1.1
[[correction]]
space = "{REC709}"
exposure = 0.5
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("seen")
    written(made / "old.exr", convert(balls(128, 80), AP1, REC709))
    written(made / "new.exr", balls(128, 80))
    cube_3d(lambda x: np.clip(x, 0, 1) ** (1 / 2.2))(made / "view.cube")
    cc("1.3 1.2 1.1")(made / "warm.cc")
    (made / "both.toml").write_text(LIGHT_THEN_CODES, "utf-8")
    (made / "back.toml").write_text(CODES_THEN_LIGHT, "utf-8")
    (made / "stops.toml").write_text(f'[[correction]]\nspace = "{REC709}"\nexposure = 0.5\n')
    (made / "warm.toml").write_text(
        f'[[correction]]\nspace = "{REC709}"\nwhite_balance = [1.3, 1.2, 1.1]\n'
    )
    return made


def matched(folder: Path, corrections: str | None = None, **said) -> Match:
    options = {"in_a": REC709, "in_b": AP1, "up_to": "nothing", **said}
    if corrections:
        options["old_corrections"] = folder / corrections
    return primecoat.match(folder / "old.exr", folder / "new.exr", **options)


def display(light: np.ndarray, space: str, view: str, config: str = DEFAULT_CONFIG) -> np.ndarray:
    """Codes of an sRGB display, which cuts off what it cannot show; by OpenColorIO alone."""
    out = np.array(light, np.float32)
    transform = ocio.DisplayViewTransform(space, DEFAULT_DISPLAY, view)
    processor = ocio.Config.CreateFromBuiltinConfig(config).getProcessor(transform)
    processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(out)
    return np.clip(out, 0, 1)


def left(old_codes: np.ndarray, new_codes: np.ndarray) -> float:
    """Mean of CIEDE2000; sRGB by IEC 61966-2-1, its matrix as published there."""
    matrix = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    seen = []
    for codes in (old_codes, new_codes):
        bent = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
        seen.append(lab(bent.reshape(-1, 3) @ matrix.T))
    return float(ciede2000(*seen).mean())


def old_light(folder: Path) -> np.ndarray:
    return read_pixels(folder / "old.exr")


def new_codes(folder: Path) -> np.ndarray:
    return display(read_pixels(folder / "new.exr"), "ACEScg", DEFAULT_VIEW)


def test_a_display_cuts_off_what_it_cannot_show(folder: Path):
    """Light up to 9 through the plain encoding: no screen shows codes above 1."""
    wanted = left(display(old_light(folder), "lin_rec709_srgb", PLAIN), new_codes(folder))
    found = matched(folder, view_a=PLAIN).result.residual.pixels_mean
    assert found == pytest.approx(wanted, abs=0.01)


def test_corrections_on_light_then_the_view_then_those_on_codes(folder: Path):
    """Light times the root of 2, the view, codes to the power of 1.1: each where it acted."""
    codes = display(old_light(folder) * np.float32(2**0.5), "lin_rec709_srgb", PLAIN) ** 1.1
    found = matched(folder, "both.toml", view_a=PLAIN).result.residual.pixels_mean
    assert found == pytest.approx(left(codes, new_codes(folder)), abs=0.02)


def test_a_look_up_table_that_is_the_view(folder: Path):
    """A cube of the 2.2nd root, worked out by numpy; between its nodes it is near only."""
    codes = np.clip(old_light(folder), 0, 1) ** (1 / 2.2)
    found = matched(folder, "view.cube", old_corrections_in=REC709, old_corrections_gives=SRGB)
    assert found.sight.old_needs_no_view
    residual = found.result.residual.pixels_mean
    assert residual == pytest.approx(left(codes, new_codes(folder)), rel=0.1)


def test_cdl_numbers_of_which_it_is_said_what_they_lack(folder: Path):
    said = {"old_corrections_in": REC709, "view_a": DEFAULT_VIEW}
    numbers = matched(folder, "warm.cc", old_corrections_clamp=False, **said)
    entry = matched(folder, "warm.toml", view_a=DEFAULT_VIEW)
    residual = numbers.result.residual.pixels_mean
    assert residual == pytest.approx(entry.result.residual.pixels_mean, abs=1e-3)
    clamped = matched(folder, "warm.cc", old_corrections_clamp=True, **said)
    assert abs(clamped.result.residual.pixels_mean - residual) > 0.1


def test_views_of_another_config(folder: Path):
    said = {"config": ACES_1_3, "view_a": PLAIN, "view_b": "ACES 1.0 - SDR Video"}
    found = matched(folder, **said)
    new = display(read_pixels(folder / "new.exr"), "ACEScg", "ACES 1.0 - SDR Video", ACES_1_3)
    old = display(old_light(folder), "Linear Rec.709 (sRGB)", PLAIN, ACES_1_3)
    assert found.result.residual.pixels_mean == pytest.approx(left(old, new), abs=0.01)


@pytest.mark.parametrize(
    ("corrections", "said", "words"),
    [
        ("view.cube", {}, "Name the space .* --old-corrections-in SPACE"),
        ("view.cube", {"old_corrections_in": REC709}, "--old-corrections-gives SPACE"),
        ("warm.cc", {"old_corrections_in": REC709}, "Say --old-corrections-clamp .* --no-old"),
        ("back.toml", {"view_a": PLAIN}, "starts on|back to the scene"),
        ("both.toml", {}, "Nobody says which view"),
        ("stops.toml", {"in_a": SRGB}, "has been through its view"),
        (None, {"in_a": SRGB, "view_a": PLAIN}, "Leave --view-a out"),
        (None, {"view_a": PLAIN, "old_corrections_in": REC709}, "that are not given"),
        (
            "view.cube",
            {"view_a": PLAIN, "old_corrections_in": REC709, "old_corrections_gives": SRGB},
            "comes after no display",
        ),
    ],
)
def test_what_cannot_have_been_seen(
    folder: Path, corrections: str | None, said: dict[str, str], words: str
):
    with pytest.raises(UseError, match=words):
        matched(folder, corrections, **said)


def test_one_colour_does_not_tell_contrast(tmp_path: Path):
    """Two reds: exposure and saturation can be told apart, contrast only by something darker."""
    new = written(tmp_path / "new.exr", np.full((20, 30, 3), (0.4, 0.2, 0.2), np.float32))
    old = written(tmp_path / "old.exr", np.full((20, 30, 3), (0.6, 0.4, 0.4), np.float32))
    found = primecoat.match(old, new, in_a=AP1, in_b=AP1, view_a=DEFAULT_VIEW)
    assert found.untold == ("contrast",)
    assert found.chosen == "saturation"
    assert found.result.adjustment.contrast == 1.0
    assert found.result.residual.mean < 0.01


def test_a_long_sequence_keeps_small_blocks(tmp_path: Path):
    """Nine thousand blocks for all would be blocks of whole things, and all have edges."""
    for frame in range(12):
        moved = np.roll(balls(64, 40), 5 * frame, 1)
        written(tmp_path / f"new.{frame:04}.exr", noisy(moved, frame))
        written(tmp_path / f"old.{frame:04}.exr", noisy(moved * np.float32(1.5), 50 + frame))
    found = primecoat.match(
        tmp_path / "old.####.exr", tmp_path / "new.####.exr",
        in_a=AP1, in_b=AP1, view_a=DEFAULT_VIEW,
    )  # fmt: skip
    assert found.side <= 2
    assert len(found.frames) == 12
    assert 2**found.result.adjustment.stops == pytest.approx(1.5, rel=0.01)
