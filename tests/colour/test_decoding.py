"""The vocabulary's own decoding against published points, and against a library of colour science.

colour-science 0.4.7 is maintained apart from OpenColorIO and from this project.
"""

from __future__ import annotations

import colour
import numpy as np
import pytest
from tests.colour.reference import matrices, rows

from primecoat.colour.decoding import light_in_reference
from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import load_config, match_space, space_in_config

RAMP = np.linspace(0.0, 1.0, 257)
GREYS = np.repeat(RAMP[:, None], 3, axis=1)
SPACE_OF = {
    "srgb_cif": "srgb_rec709_scene",
    "gamma_1.8": "g18_rec709_scene",
    "gamma_2.2": "g22_rec709_scene",
    "gamma_2.4": "g24_rec709_scene",
    "gamma_adobe_563_256": "g22_adobergb_scene",
}
POINTS = [
    p
    for p in rows("transfer-points__color-interop-forum-rec01.csv")
    if p["direction"] == "decode" and 0.0 <= float(p["input"]) <= 1.0
]


@pytest.mark.parametrize("point", POINTS, ids=[f"{p['function']} {p['input']}" for p in POINTS])
def test_published_points(point: dict[str, str]):
    """Source: Color Interop Forum, Recommendation 01 v1.1.0; neutral colours stay neutral.

    The four-digit breaks of IEC 61966-2-1, which we keep, cost 5e-7.
    """
    codes = np.full((1, 3), float(point["input"]))
    found = light_in_reference(codes, SPACE_OF[point["function"]])
    assert found == pytest.approx(np.full((1, 3), float(point["output"])), abs=1e-6)


def test_there_are_points_for_every_curve_of_textures():
    assert {p["function"] for p in POINTS} == set(SPACE_OF)


def test_published_matrix():
    """Source: Color Interop Forum, Recommendation 01 v1.1.0, its core renderer config."""
    published = matrices("matrices__color-interop-forum-rec01.csv")["rec709_to_ap0_bradford"]
    codes = np.vstack([np.eye(3), [[-0.5, 4.0, 16.0]]])
    found = light_in_reference(codes, "lin_rec709_scene")
    assert np.abs(found - codes @ published.T).max() < 1e-5


def test_pq_greys():
    """Source of the truth: colour-science, EOTF of SMPTE ST 2084 in cd/m²."""
    truth = colour.models.eotf_ST2084(RAMP) / 100.0
    found = light_in_reference(GREYS, "pq_rec2020_display")[:, 1]
    assert found == pytest.approx(truth, rel=1e-6, abs=1e-9)


def test_hlg_colours():
    """Source of the truth: colour-science, EOTF of ITU-R BT.2100 HLG for a peak of 1000 cd/m²."""
    codes = np.vstack([GREYS, np.random.default_rng(2100).random((100, 3))])
    light = colour.models.eotf_BT2100_HLG(codes, L_W=1000.0) / 100.0
    rec2020 = colour.RGB_COLOURSPACES["ITU-R BT.2020"]
    truth = light @ np.asarray(rec2020.matrix_RGB_to_XYZ).T
    found = light_in_reference(codes, "hlg_rec2020_display")
    assert np.abs(found - truth).max() < 2e-3  # its matrix and luminances have four digits


def test_negative_codes_are_mirrored():
    codes = np.array([[0.5, 0.5, 0.5]])
    for space in SPACES:
        there, back = light_in_reference(codes, space), light_in_reference(-codes, space)
        if space != "hlg_rec2020_display":  # its luminance cannot be negative
            assert back == pytest.approx(-there)


@pytest.mark.parametrize("space", SPACES)
def test_opencolorio_agrees(space: str):
    """The library's newest config decodes every space of the vocabulary to the same light."""
    config = "studio-config-v5.0.0_aces-v2.1_ocio-v2.6"
    match = match_space(load_config(config), space_in_config(space, config))
    assert match.reading == space
    assert match.distance < (3e-3 if space == "hlg_rec2020_display" else 1e-4)
