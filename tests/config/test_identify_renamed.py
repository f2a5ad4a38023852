"""Configs whose spaces were all renamed come to the same readings, by their transforms alone."""

from __future__ import annotations

import pytest
from tests.config.builtins import BUILTINS, builtin, library_says, renamed

from primecoat.colour.ids import DATA, READINGS, SPACES
from primecoat.config.identify import identify, identify_all, local_space


@pytest.mark.parametrize("name", BUILTINS)
def test_none_is_wrong(name: str):
    """Source of the truth: the interop IDs of the newest config in OpenColorIO 2.6.0."""
    config, olds = renamed(builtin(name))
    found = identify_all(config)
    assert len(found) == len(olds)
    for one in found:
        said = library_says(olds[one.name])
        assert one.reading == (said if said in READINGS else None), (olds[one.name], one)
        by = "data flag" if one.reading == DATA else "transform" if one.reading else ""
        assert (one.by, one.contradicts) == (by, False)


@pytest.mark.parametrize("name", BUILTINS)
def test_ids_lead_to_the_renamed_space(name: str):
    original = builtin(name)
    config, olds = renamed(original)
    for reading in READINGS:
        before, after = local_space(original, reading), local_space(config, reading)
        assert (olds[after] if after else None) == before
        found = identify(config, reading)
        assert (found.local_name, found.reading) == (after, reading)


def test_scene_and_display_of_the_same_numbers_are_told_apart():
    config, olds = renamed(builtin(BUILTINS[-1]))
    names = {
        olds[local_space(config, f"srgb_rec709_{side}") or ""] for side in ("scene", "display")
    }
    assert names == {"sRGB Encoded Rec.709 (sRGB)", "sRGB - Display"}
    assert SPACES["srgb_rec709_scene"].curve == SPACES["srgb_rec709_display"].curve


def test_same_maths_with_and_without_headroom_goes_by_the_encoding():
    """Display P3 HDR has the transform of Display P3; only ``edr-video`` sets it apart."""
    config, olds = renamed(builtin(BUILTINS[-1]))
    (hdr,) = [new for new, old in olds.items() if old == "Display P3 HDR - Display"]
    found = identify(config, hdr)
    assert found.reading is None
    assert "light above 1" in found.words
