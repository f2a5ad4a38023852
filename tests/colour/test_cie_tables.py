"""Tables of the CIE: D65 from its components against the published one."""

from __future__ import annotations

import colour
import pytest

from primecoat.colour.cie_tables import cie_1931_observer, daylight_spectrum


def test_d65_is_the_published_one():
    """ISO/CIE 11664-2, as colour-science has it; the standard rounds its factors, here they are
    whole: 0.3 of 100 at most."""
    published = colour.SDS_ILLUMINANTS["D65"]
    for nanometres, power in zip(*daylight_spectrum((0.31271, 0.32902)), strict=True):
        if 380 <= nanometres <= 780:
            assert power == pytest.approx(published[nanometres], abs=0.3)


def test_observer_is_the_published_one():
    """ISO/CIE 11664-1: the peak of y is 1 at 555 nm."""
    wavelengths, matching = cie_1931_observer()
    assert wavelengths[matching[:, 1].argmax()] == 555
    assert matching[:, 1].max() == pytest.approx(1.0)
