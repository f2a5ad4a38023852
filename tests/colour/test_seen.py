"""A colour through a view, and the scene value for a display colour."""

from __future__ import annotations

import numpy as np
import pytest

from primecoat.colour.albedo import DARKEST, LIGHTEST
from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_VIEW, check_view, display_xyz
from primecoat.colour.primaries import PRIMARIES, rgb_to_xyz_matrix
from primecoat.colour.seen import see, seek
from primecoat.errors import UseError

AP1 = "lin_ap1_scene"
P3 = "P3-D65 - Display"


@pytest.mark.parametrize(
    ("view", "stops", "code"),
    # measured with OpenColorIO 2.6.0 alone: 8-bit sRGB code of 0.18 x 2^stops
    [
        (DEFAULT_VIEW, 0, 89.0),
        (DEFAULT_VIEW, -2, 30.6),
        (DEFAULT_VIEW, 2, 163.7),
        ("Un-tone-mapped", 0, 117.6),
        ("Un-tone-mapped", 2, 220.6),
    ],
)
def test_mid_grey(view, stops, code):
    grey = 0.18 * 2.0**stops
    seen = see((grey, grey, grey), AP1, view=view)
    assert [255 * v for v in seen.rgb] == pytest.approx([code] * 3, abs=0.1)
    assert seen.codes == (round(code),) * 3


def test_light_on_a_display():
    """White of an sRGB display is D65; its red has the XYZ of BT.709's red primary."""
    xyz = display_xyz((1.0, 0.0, 0.0))
    assert xyz == pytest.approx(rgb_to_xyz_matrix(PRIMARIES["rec709"])[:, 0], abs=1e-6)
    half = display_xyz((0.5, 0.5, 0.5))[1]
    assert half == pytest.approx(0.214041140482, abs=2e-5)  # IEC 61966-2-1, decode of 0.5


@pytest.mark.parametrize("wanted", ["0047ab", "b5651d", "e60028", "ff6600", "ffffff", "808080"])
def test_reachable_colours_come_back_code_for_code(wanted):
    codes = tuple(bytes.fromhex(wanted))
    red, green, blue = (code / 255 for code in codes)
    found = seek((red, green, blue), AP1)
    assert found.reachable
    assert found.residual < 0.1
    assert min(found.scene) >= 0.0
    assert see(found.scene, AP1).codes == codes
    y = float((rgb_to_xyz_matrix(PRIMARIES["ap1"]) @ np.array(found.scene))[1])
    assert found.reflectance is (DARKEST <= y <= LIGHTEST and max(found.scene) <= 1.0)


def test_where_a_colour_may_stand():
    """White under this view needs light far beyond what a surface sends back."""
    white, brown, black = (seek(c, AP1) for c in ((1, 1, 1), (0.71, 0.4, 0.11), (0, 0, 0)))
    assert (white.reflectance, brown.reflectance, black.reflectance) == (False, True, False)
    assert "more than 0.871" in white.why_no_surface
    assert "less than 0.013" in black.why_no_surface
    red = seek((1.0, 0.0, 0.0), AP1)
    assert LIGHTEST > red.luminance > DARKEST
    assert "one channel" in red.why_no_surface


@pytest.mark.parametrize("wanted", [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.9, 0.0, 0.5)])
def test_what_a_view_of_a_smaller_gamut_never_shows(wanted):
    """The view limits to Rec.709 on a P3 display: nearest is no farther than a grid over all of it.

    All colours that the view can show are colours of Rec.709 up to its white; those of a grid of
    Rec.709 display codes are the only candidates, whatever the search does.
    """
    found = seek(wanted, AP1, display=P3, view=DEFAULT_VIEW)
    assert not found.reachable
    assert found.residual > 1.0
    axis = np.linspace(0, 1, 41)
    grid = np.stack(np.meshgrid(axis, axis, axis), axis=-1).reshape(-1, 3)
    target = lab(display_xyz(wanted, P3, DEFAULT_VIEW))
    bound = float(ciede2000(target, lab(display_xyz(grid))).min())
    assert found.residual <= bound + 0.05
    assert found.residual >= bound - 0.5


def test_what_no_view_is(tmp_path):
    with pytest.raises(UseError, match="no display moon"):
        check_view("moon", DEFAULT_VIEW)
    with pytest.raises(UseError, match="no view moon"):
        see((0.1, 0.1, 0.1), AP1, view="moon")
    with pytest.raises(UseError, match="not described as light"):
        seek((0.1, 0.1, 0.1), AP1, view="Raw", config=DEFAULT_CONFIG)
    with pytest.raises(UseError, match="no display code values"):
        seek((1.5, 0.1, 0.1), AP1)
