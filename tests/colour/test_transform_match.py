"""Telling spaces apart by their light: how near a match is, and how far everything else stays."""

from __future__ import annotations

from itertools import product

import numpy as np
import PyOpenColorIO as ocio
import pytest

from primecoat.colour.decoding import light_in_reference
from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import match_space
from primecoat.colour.primaries import D65, PRIMARIES, rgb_to_xyz_matrix, xy_to_xyz
from primecoat.colour.transform_match import INSIDE, PROBES, TOLERANCE, distance, match_light
from primecoat.errors import UseError

CAT02 = np.array([[0.7328, 0.4296, -0.1624], [-0.7036, 1.6975, 0.0061], [0.0030, 0.0136, 0.9834]])
"""Source: CIE 159:2004, CIECAM02; the numbers are from memory."""


def truth(space: str) -> np.ndarray:
    return light_in_reference(PROBES, space)


def matches():
    """Yield each colour space of each built-in config with its match."""
    for name, *_ in ocio.BuiltinConfigRegistry().getBuiltinConfigs():
        config = ocio.Config.CreateFromBuiltinConfig(name)
        for space in config.getColorSpaceNames(
            ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL
        ):
            try:
                yield space, match_space(config, space)
            except UseError:
                assert config.getColorSpace(space).isData()


@pytest.mark.parametrize("space", SPACES)
def test_own_light_is_matched_and_no_other(space: str):
    """Any two spaces of the vocabulary are more than four tolerances apart."""
    found = match_light(truth(space), SPACES[space].referred)
    assert (found.reading, found.distance) == (space, 0.0)
    assert found.runner_up_distance > 4 * TOLERANCE


def test_margin_over_the_built_in_configs():
    """True matches stay below half the tolerance, all other spaces above three of it."""
    every = list(matches())
    true = [m.distance for _, m in every if m.reading]
    other = [
        (m.distance, space)
        for space, m in every
        if not m.reading and space != "Display P3 HDR - Display"  # same maths, other encoding
    ]
    assert len(true) > 150
    assert len(other) > 100
    assert max(true) < TOLERANCE / 2
    assert min(other)[0] > 3 * TOLERANCE
    assert min(other)[1] == "P3-D60 - Display"


def test_piecewise_srgb_and_gamma_part_in_the_toe():
    """From mid-grey up they are 2 % apart; the dark greys hold them apart by more than 20 %."""
    srgb, gamma = truth("srgb_rec709_scene"), truth("g22_rec709_scene")
    bright = (PROBES[:INSIDE].min(axis=1) >= 0.46).nonzero()[0]
    assert distance(gamma[bright], srgb[bright]) < 0.02
    assert distance(gamma[:INSIDE], srgb[:INSIDE]) > 0.2


@pytest.mark.parametrize("space", ["lin_rec709_scene", "lin_rec2020_scene", "lin_p3d65_scene"])
def test_another_white_adaptation_is_the_same_space(space: str):
    """CAT02 in place of Bradford stays within the tolerance, as old configs were made."""
    ap0, own = PRIMARIES["ap0"], PRIMARIES[SPACES[space].primaries]
    gains = (CAT02 @ xy_to_xyz(ap0.white)) / (CAT02 @ xy_to_xyz(D65))
    adapted = np.linalg.inv(CAT02) @ (gains[:, None] * CAT02)
    matrix = np.linalg.inv(rgb_to_xyz_matrix(ap0)) @ adapted @ rgb_to_xyz_matrix(own)
    found = match_light(PROBES @ matrix.T, "scene")
    assert found.reading == space
    assert 0.003 < found.distance < 0.005


def test_no_white_adaptation_is_another_space():
    matrix = np.linalg.inv(rgb_to_xyz_matrix(PRIMARIES["ap0"]))
    light = PROBES @ (matrix @ rgb_to_xyz_matrix(PRIMARIES["rec709"])).T
    assert match_light(light, "scene").reading is None


def test_linear_space_that_is_cut_off_is_told():
    """A linear space that loses negatives and light above 1 is no longer that space."""
    cut = light_in_reference(np.clip(PROBES, 0.0, 1.0), "lin_rec709_scene")
    found = match_light(cut, "scene")
    assert (found.reading, found.cut_off, found.inside) == (None, True, "lin_rec709_scene")


@pytest.mark.parametrize(
    ("space", "gain"),
    list(product(["lin_ap1_scene", "srgb_rec709_scene", "pq_rec2020_display"], [0.97, 1.03, 2.0])),
)
def test_exposure_is_not_overlooked(space: str, gain: float):
    assert match_light(truth(space) * gain, SPACES[space].referred).reading is None


def test_light_that_is_no_number_is_far():
    light = truth("lin_ap1_scene").copy()
    light[3, 1] = np.nan
    assert match_light(light, "scene").reading is None
    assert match_light(light, "scene").distance == float("inf")
