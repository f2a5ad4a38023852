"""A look before the ACES views: the numbers of an ASC CDL in its own space."""

from __future__ import annotations

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.colour.reference import rows
from tests.config.builtins import BUILTINS, OLDEST, builtin
from tests.config.look_files import WARM, write_cc
from tests.config.old_pipeline import (
    REC709,
    REC709_TO_AP1,
    SRGB,
    SRGB_DISPLAY,
    applied,
    cdl,
    everything,
    placed,
    through,
    worst,
)

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.config.look import add_look, look_name
from primecoat.config.look_file import load_look_file
from primecoat.errors import UseError

VECTORS = rows("cdl-vectors__opencolorio-tests.csv")


def numbers(row):
    triples = [[float(row[f"{part}_{c}"]) for c in "rgb"] for part in ("slope", "offset", "power")]
    return (*map(tuple, triples), float(row["sat"]))


def values(row, which):
    return np.array([[float(row[f"{which}_{channel}"]) for channel in "rgb"]])


def look_alone(config, name):
    """The look between the numbers of the space that it works in."""
    space = config.getLook(name).getProcessSpace()
    return config.getProcessor(ocio.LookTransform(src=space, dst=space, looks=name))


@pytest.mark.parametrize(
    ("which", "style"), sorted({(row["set"], row["style"]) for row in VECTORS})
)
def test_published_vectors(tmp_path, which, style):
    chosen = [row for row in VECTORS if (row["set"], row["style"]) == (which, style)]
    look = load_look_file(
        write_cc(tmp_path / "grade.cc", numbers(chosen[0])),
        works_in=REC709,
        clamp=style == "clamp",
    )
    config = builtin(OLDEST)
    add_look(config, look)
    config.validate()
    processor = look_alone(config, "grade")
    for row in chosen:
        assert applied(processor, values(row, "in")) == pytest.approx(values(row, "out"), abs=2e-6)
        formula = cdl(values(row, "in"), numbers(row), clamp=style == "clamp")
        assert formula == pytest.approx(values(row, "out"), abs=2e-6), "the tests' own formula"


@pytest.mark.parametrize("base", BUILTINS)
def test_a_view_with_the_look_is_the_view_of_graded_light(tmp_path, base):
    look = load_look_file(write_cc(tmp_path / "warm.cc"), works_in=REC709, clamp=False)
    config = builtin(base)
    add_look(config, look)
    config = placed(config, tmp_path, look)
    light = everything()
    light = light[np.abs(light).max(axis=1) < 16.0]
    graded = cdl(light, WARM, clamp=False)
    view = config.getDefaultView(SRGB_DISPLAY)
    assert not config.getDisplayViewLooks(SRGB_DISPLAY, view), "the plain view stays the default"
    ours = through(config, light, f"{view} with warm")
    assert worst(ours, through(config, graded, view)) < 0.05
    assert worst(ours, through(config, light, view)) > 5


def test_every_display_offers_its_first_view_with_the_look(tmp_path):
    config = builtin(DEFAULT_CONFIG)
    firsts = {display: config.getDefaultView(display) for display in config.getDisplays()}
    add_look(config, load_look_file(write_cc(tmp_path / "warm.cc"), works_in=REC709, clamp=True))
    for display, first in firsts.items():
        assert config.getDefaultView(display) == first
        assert config.getDisplayViewLooks(display, f"{first} with warm") == "warm"
        assert config.getDisplayViewTransformName(display, f"{first} with warm") == first
    words = config.getLook("warm").getDescription()
    assert "warm.cc" in words
    assert "clamped" in words


def test_a_lut_that_gives_another_scene_space(tmp_path):
    """A curve from ACEScg to linear Rec.709: the way back to the process space is added."""
    path = tmp_path / "half.cube"
    path.write_text("LUT_1D_SIZE 2\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 4 4 4\n0 0 0\n2 2 2\n")
    look = load_look_file(path, works_in="lin_ap1_scene", gives=REC709)
    config = builtin(DEFAULT_CONFIG)
    add_look(config, look)
    config = placed(config, tmp_path, look)
    assert config.getLook("half").getProcessSpace() == "ACEScg"
    light = np.random.default_rng(3).uniform(0.0, 4.0, (50, 3))
    ours = applied(look_alone(config, "half"), light)
    assert ours == pytest.approx((light / 2.0) @ REC709_TO_AP1.T, abs=2e-6)


def test_a_look_on_display_values_is_refused(tmp_path):
    config = builtin(DEFAULT_CONFIG)
    before = config.serialize()
    path = write_cc(tmp_path / "warm.cc")
    for works_in, gives in ((SRGB, None), (REC709, SRGB)):
        look = load_look_file(path, works_in=works_in, gives=gives, clamp=True)
        with pytest.raises(UseError, match=r"light on a display.* as the old look"):
            add_look(config, look)
    assert config.serialize() == before


def test_a_look_is_added_once(tmp_path):
    config = builtin(DEFAULT_CONFIG)
    look = load_look_file(write_cc(tmp_path / "warm.cc"), works_in=REC709, clamp=True)
    add_look(config, look)
    with pytest.raises(UseError, match="a look warm already"):
        add_look(config, look)


def test_a_name_that_would_be_read_as_a_list(tmp_path):
    path = write_cc(tmp_path / "-warm, +tea|two:b.cc")
    look = load_look_file(path, works_in=REC709, clamp=False)
    name = look_name(look)
    assert not set(name) & set("+-,|:")
    config = builtin(DEFAULT_CONFIG)
    add_look(config, look)
    config = placed(config, tmp_path, look)
    view = config.getDefaultView(SRGB_DISPLAY)
    light = everything()[:80]
    graded = cdl(light, WARM, clamp=False)
    ours = through(config, light, f"{view} with {name}")
    assert worst(ours, through(config, graded, view)) < 0.05
