"""The vocabulary of readings, and the names that other standards have for them."""

from __future__ import annotations

from collections import Counter

import pytest

from primecoat.colour.ids import (
    DATA,
    DATA_ALIASES,
    NAMES,
    READINGS,
    SCENE_SPACES,
    SPACES,
    reading_named,
)
from primecoat.colour.ocio import DEFAULT_CONFIG, convert, space_in_config
from primecoat.errors import UseError

INTEROP_SCENE_IDS = [
    "lin_ap1_scene",
    "lin_ap0_scene",
    "lin_rec709_scene",
    "lin_p3d65_scene",
    "lin_rec2020_scene",
    "lin_adobergb_scene",
    "lin_ciexyzd65_scene",
    "srgb_rec709_scene",
    "g24_rec709_scene",
    "g22_rec709_scene",
    "g18_rec709_scene",
    "srgb_ap1_scene",
    "g22_ap1_scene",
    "srgb_p3d65_scene",
    "g22_adobergb_scene",
]
"""Source: ASWF Color Interop Forum, *An ID for Color Interop* v1.0.0, core scene IDs."""

MATERIALX = {
    "srgb_texture": "srgb_rec709_scene",
    "lin_rec709": "lin_rec709_scene",
    "g22_rec709": "g22_rec709_scene",
    "g18_rec709": "g18_rec709_scene",
    "acescg": "lin_ap1_scene",
    "lin_ap1": "lin_ap1_scene",
    "g22_ap1": "g22_ap1_scene",
    "lin_srgb": "lin_rec709_scene",
    "adobergb": "g22_adobergb_scene",
    "lin_adobergb": "lin_adobergb_scene",
    "srgb_displayp3": "srgb_p3d65_scene",
    "lin_displayp3": "lin_p3d65_scene",
}
"""Source: MaterialX 1.39, *Color Spaces and Color Management Systems*."""

OPENUSD = {
    "identity": DATA,
    "raw": DATA,
    "acescg": "lin_ap1_scene",
    "adobergb": "g22_adobergb_scene",
    "lin_adobergb": "lin_adobergb_scene",
    "lin_ap0": "lin_ap0_scene",
    "lin_ap1": "lin_ap1_scene",
    "g22_ap1": "g22_ap1_scene",
    "lin_rec2020": "lin_rec2020_scene",
    "lin_rec709": "lin_rec709_scene",
    "g18_rec709": "g18_rec709_scene",
    "g22_rec709": "g22_rec709_scene",
    "lin_displayp3": "lin_p3d65_scene",
    "lin_srgb": "lin_rec709_scene",
    "srgb_texture": "srgb_rec709_scene",
    "srgb_displayp3": "srgb_p3d65_scene",
}
"""Source: OpenUSD 24.08, ``GfColorSpaceNames``."""

NO_READING = ("g18_ap1", "CIEXYZ", "auto", "none", "sRGB", "unknown", "", "default")
"""Names of those standards without a Color Interop ID, or whose meaning is open: ``sRGB`` may mean
the curve or the primaries too, ``auto`` what a program likes, ``none`` no conversion."""


def test_scene_ids_are_the_forums():
    """The scene spaces are exactly the core scene IDs of the Color Interop Forum."""
    assert sorted(SCENE_SPACES) == sorted(INTEROP_SCENE_IDS)


@pytest.mark.parametrize("reading", READINGS)
def test_every_reading_is_in_the_pinned_config(reading: str):
    """Every reading resolves in the pinned config, and to a space of its own."""
    name = space_in_config(reading, DEFAULT_CONFIG)
    others = {space_in_config(r, DEFAULT_CONFIG) for r in READINGS if r != reading}
    assert name
    assert name not in others


@pytest.mark.parametrize("reading", [r for r in SCENE_SPACES if SPACES[r].linear])
def test_linear_means_linear(reading: str):
    """Doubling the numbers of a space called linear doubles the light."""
    one = convert((0.2, 0.3, 0.1), reading, "lin_ap1_scene")
    two = convert((0.4, 0.6, 0.2), reading, "lin_ap1_scene")
    assert two == pytest.approx(2 * one, rel=2e-6)


@pytest.mark.parametrize("reading", [r for r in SCENE_SPACES if not SPACES[r].linear])
def test_encoded_means_encoded(reading: str):
    """Mid-grey codes of a space with a curve stand for less light than their number."""
    assert (convert((0.5,) * 3, reading, "lin_ap1_scene") < 0.3).all()


def test_id_says_curve_and_primaries():
    """An ID is made of the space's curve, primaries and what it refers to."""
    for space in SPACES.values():
        assert space.id == f"{space.curve}_{space.primaries}_{space.referred}".replace(
            "linear_", "lin_"
        )


def test_names_are_unique():
    """No name stands for two readings, and none is written with capitals or blanks."""
    every = [n for s in SPACES.values() for n in (s.id, *s.aliases)] + [DATA, *DATA_ALIASES]
    assert [name for name, count in Counter(every).items() if count > 1] == []
    assert sorted(NAMES) == sorted(every)
    assert all(name == name.lower() and " " not in name for name in every)


@pytest.mark.parametrize("name", READINGS)
def test_reading_names_itself(name: str):
    """A reading's own name is understood in any case and with blanks or hyphens."""
    for written in (
        name,
        name.upper(),
        f" {name} ",
        name.replace("_", "-"),
        name.replace("_", " "),
    ):
        assert reading_named(written) == name


@pytest.mark.parametrize(("name", "reading"), {**MATERIALX, **OPENUSD}.items())
def test_names_of_other_standards(name: str, reading: str):
    """The names of MaterialX 1.39 and OpenUSD 24.08 are understood."""
    assert reading_named(name) == reading


@pytest.mark.parametrize("name", NO_READING)
def test_open_names_are_not_guessed(name: str):
    """A name that leaves the reading open stands for no reading."""
    assert reading_named(name) is None


def test_space_that_a_config_lacks():
    """A space that a config lacks is told with the config's and the space's name."""
    old = "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"
    with pytest.raises(UseError, match=r"cg-config-v1.*lin_adobergb_scene"):
        space_in_config("lin_adobergb_scene", old)
    for name in ("srgb_rec709_scene", "lin_ap1_scene"):
        assert space_in_config(name, old)
