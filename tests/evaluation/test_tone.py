"""Tone curves that were baked in: how often they are told, and how often one is seen that is not.

The views of ACES come from OpenColorIO, the other scales from papers (see the script).
"""

from __future__ import annotations

import numpy as np
import pytest
from evaluation import tone

from primecoat.colour.ocio import through_view
from primecoat.images.curves import light_to_srgb


@pytest.fixture(scope="module")
def found() -> tuple[tone.Developed, ...]:
    return tuple(tone.pictures(150, 7))


def share(found: tuple[tone.Developed, ...], ways: tuple[str, ...]) -> float:
    chosen = [one for one in found if one.way in ways]
    return sum(tone.told(one.tone) for one in chosen) / len(chosen)


def test_few_are_suspected_without_a_curve(found: tuple[tone.Developed, ...]):
    assert share(found, tone.WITHOUT) <= 0.005


def test_views_are_told_where_no_codec_took_the_chroma(found: tuple[tone.Developed, ...]):
    whole = tuple(one for one in found if not one.lossy)
    assert share(whole, tone.ON_EACH_CHANNEL) >= 0.02
    assert share(whole, tone.ON_EACH_CHANNEL) > 10 * share(whole, tone.WITHOUT)


def test_curves_on_luminance_keep_the_ratios(found: tuple[tone.Developed, ...]):
    """They are not told, and that is known: the finding's page says so."""
    assert share(found, tone.ON_LUMINANCE) <= 0.02


def test_operators_by_their_formula():
    """Reinhard 2002, equation 4: white goes to 1. Clipped: nothing but the encoding happens."""
    light = np.full((4, 4, 3), 4.0, np.float32)
    light[0, 0] = 0.18
    assert tone.develop(light, "reinhard_channels")[1, 1] == pytest.approx(1.0)
    dark = 0.18 * (1 + 0.18 / 16) / 1.18
    assert tone.develop(light, "reinhard_channels")[0, 0] == pytest.approx(
        light_to_srgb(np.array([dark]))[0], abs=1e-6
    )
    assert tone.develop(light, "clipped")[0, 0] == pytest.approx(
        light_to_srgb(np.array([0.18]))[0], abs=1e-6
    )
    assert np.array_equal(
        tone.develop(light, "aces_2"), through_view(light, "lin_rec709_scene"), equal_nan=False
    )
