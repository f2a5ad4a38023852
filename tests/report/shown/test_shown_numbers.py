"""Probe, histogram and chromaticity against published numbers and other libraries."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from primecoat.errors import UseError
from primecoat.images.oiio import write_pixels
from primecoat.workflow.shown import chromaticity_of, histogram_of, probed


@pytest.fixture
def light(tmp_path: Path) -> Path:
    """Write light: 0.18, 1, pure green, and what is no number."""
    path = tmp_path / "light.exr"
    rows = [[(0.18,) * 3, (1.0,) * 3, (0.0, 1.0, 0.0), (np.nan, 0.5, 0.5)]]
    write_pixels(path, np.array(rows, np.float32))
    return path


def test_a_pixel_as_stored_on_the_way_and_on_the_display(tmp_path: Path) -> None:
    Image.fromarray(np.array([[[0, 0, 0], [118, 118, 118]]], np.uint8)).save(tmp_path / "c.png")
    found = probed(tmp_path / "c.png", 1, 0, "srgb_rec709_scene", view="Un-tone-mapped")
    assert found.file == (118, 118, 118)
    assert found.stored == "uint8"
    assert found.working is not None
    assert found.display is not None
    assert found.nits is not None
    # IEC 61966-2-1: code 118 is 0.1812 of the light of white
    assert found.working == pytest.approx((0.18116,) * 3, abs=1e-4)
    assert found.display_255 == (118, 118, 118)
    assert found.display == pytest.approx((118 / 255,) * 3, abs=1e-4)
    assert found.nits == pytest.approx(18.116, abs=0.01)
    assert "100 cd/m²" in found.nits_words
    exposed = probed(tmp_path / "c.png", 1, 0, "srgb_rec709_scene", stops=1)
    assert exposed.working == pytest.approx((2 * 0.18116,) * 3, abs=1e-4)
    assert probed(tmp_path / "c.png", 1, 0, "data").nits is None
    with pytest.raises(UseError, match="no pixel 2, 0"):
        probed(tmp_path / "c.png", 2, 0, "data")


def test_light_of_a_pq_display_is_absolute(light: Path) -> None:
    found = probed(
        light,
        1,
        0,
        "lin_ap1_scene",
        display="Rec.2100-PQ - Display",
        view="ACES 2.0 - HDR 1000 nits (Rec.2020)",
    )
    assert found.display is not None
    # SMPTE ST 2084, EOTF, of the code that the library gives
    root = found.display[1] ** (1 / 78.84375)
    nits = 10000 * (max(root - 0.8359375, 0) / (18.8515625 - 18.6875 * root)) ** (
        1 / 0.1593017578125
    )
    assert found.nits == pytest.approx(nits, rel=2e-3)
    assert 100 < nits < 1000
    assert "ST 2084" in found.nits_words


def test_every_pixel_is_counted(tmp_path: Path) -> None:
    codes = np.random.default_rng(6).integers(0, 256, (300, 200, 3), np.uint8)
    Image.fromarray(codes).save(tmp_path / "glaze.png")
    found = histogram_of(tmp_path / "glaze.png", "data")
    for at in range(3):
        assert found.counts[at] == tuple(np.bincount(codes[..., at].ravel(), minlength=256))
    assert found.pixels == 60000
    plain, log = found.heights()[0], found.heights(log=True)[0]
    assert 0 <= min(plain) <= max(plain) <= 1
    assert log[0] > plain[0]


def test_light_is_counted_in_stops_about_mid_grey(light: Path) -> None:
    found = histogram_of(light, "lin_rec709_scene", of="stops", working="lin_rec709_scene")
    edges = np.array(found.edges)
    green = np.array(found.counts[1])
    assert green[np.searchsorted(edges, 0.0, "right") - 1] == 1  # 0.18
    assert green[np.searchsorted(edges, np.log2(1 / 0.18), "right") - 1] >= 2
    assert found.dark == (1, 0, 1)
    assert found.not_finite[0] == 1
    with pytest.raises(UseError, match="no stops"):
        histogram_of(light, "data", of="stops")


def test_chromaticities_lie_on_the_published_corners(light: Path) -> None:
    found = chromaticity_of(light, "lin_rec709_scene")
    # primaries: ITU-R BT.709-6, SMPTE EG 432-1, ITU-R BT.2020-2; u'v' by CIE 15:2018, 8.2.1
    for name, corners in {
        "rec709": ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)),
        "p3d65": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
        "rec2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
    }.items():
        for (x, y), corner in zip(corners, found.gamuts[name], strict=True):
            below = -2 * x + 12 * y + 3
            assert corner == pytest.approx((4 * x / below, 9 * y / below), abs=1e-6)
    # D65 in u'v' (CIE 15:2018, table T.3): 0.1978, 0.4683
    assert found.white == pytest.approx((0.1978, 0.4683), abs=1e-4)
    places = {(round(u * 256 - 0.5), round(v * 256 - 0.5)): n for u, v, n in found.points}
    green = found.gamuts["rec709"][1]
    near = [
        n
        for (u, v), n in places.items()
        if abs(u + 0.5 - green[0] * 256) <= 1 and abs(v + 0.5 - green[1] * 256) <= 1
    ]
    assert sum(near) == 1
    assert found.pixels == 3
    assert found.not_finite == 1


def test_a_misreading_moves_the_colours(light: Path) -> None:
    narrow = chromaticity_of(light, "lin_rec709_scene", box=(2, 0, 1, 1)).points[0]
    wide = chromaticity_of(light, "lin_ap1_scene", box=(2, 0, 1, 1)).points[0]
    assert narrow[:2] != wide[:2]
    with pytest.raises(UseError, match="no chromaticity"):
        chromaticity_of(light, "data")
