"""The old look as a view: the code values it shows are those of the old pipeline.

The old pipeline is worked out apart from OpenColorIO (``old_pipeline.py``), LUTs between their
nearest entries by colour-science. One 8-bit code is what an artist may be off; the tests allow
what was measured, rounded up.
"""

from __future__ import annotations

import shutil

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.config.builtins import BUILTINS, OLDEST, builtin
from tests.config.look_files import COOL, WARM, write_cc, write_ccc
from tests.config.old_pipeline import (
    REC709,
    SRGB_DISPLAY,
    cdl,
    chart,
    everything,
    placed,
    ramp,
    srgb,
    through,
    worst,
)

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.config.look_file import load_look_file
from primecoat.config.old_view import add_old_view, old_view_name
from primecoat.errors import UseError

PLAIN = "Old look (Rec.709)"
CODES = 0.02
"""Greatest difference allowed, in 8-bit codes; the greatest measured is 0.009."""


def graded(values, numbers=WARM, *, clamp):
    return cdl(values, numbers, clamp=clamp)


def grade(folder, numbers=WARM, *, clamp, works_in=REC709, gives=None):
    path = write_cc(folder / "warm.cc", numbers)
    return load_look_file(path, works_in=works_in, gives=gives, clamp=clamp)


@pytest.fixture(scope="module", params=BUILTINS)
def every_base(request, tmp_path_factory):
    """Each built-in config with the old look three times: plain, CDL clamped, CDL not clamped."""
    folder = tmp_path_factory.mktemp("base")
    config = builtin(request.param)
    add_old_view(config, None, made_in=REC709)
    for clamp, name in ((True, "clamped.cc"), (False, "open.cc")):
        look = load_look_file(write_cc(folder / name), works_in=REC709, clamp=clamp)
        add_old_view(config, look, made_in=REC709)
    return request.param, placed(config, folder)


def test_old_codes_on_every_base(every_base):
    """Ramp -8 to +6.5 EV, chart, and 400 negative, large and saturated colours."""
    _, config = every_base
    values = everything()
    assert worst(through(config, values, PLAIN), srgb(values)) < CODES
    for clamp, name in ((True, "clamped.cc"), (False, "open.cc")):
        ours = through(config, values, f"Old look ({name})")
        assert worst(ours, srgb(graded(values, clamp=clamp))) < CODES


def test_the_two_clamps_are_not_the_same():
    """Else the test above could not tell them apart."""
    values = everything()
    pair = [srgb(graded(values, clamp=clamp)) for clamp in (True, False)]
    assert worst(*pair) > 20


def test_the_ways_of_the_library_that_renderers_use(every_base):
    """Optimised as by default, it is still within one code."""
    _, config = every_base
    values = everything()
    fast = through(config, values, "Old look (open.cc)", flags=ocio.OPTIMIZATION_DEFAULT)
    assert worst(fast, srgb(graded(values, clamp=False))) < 1.0


def test_every_sdr_display_shows_the_same_light(every_base):
    """BT.1886 with black at 0 is a power of 2.4; on that display the codes differ, the light not.

    HDR displays do not offer the old look.
    """
    _, config = every_base
    values = np.concatenate([ramp(), chart()])
    light = np.clip(graded(values, clamp=True), 0.0, 1.0)
    shown = through(config, values, "Old look (clamped.cc)", "Rec.1886 Rec.709 - Display")
    # near black a power of 1/2.4 is so steep that single precision alone makes 0.1 of a code
    assert worst(shown, light ** (1 / 2.4)) < 0.2
    assert worst(shown**2.4, light) < CODES
    for display in config.getDisplays():
        sdr = config.getColorSpace(display).getEncoding() == "sdr-video"
        assert (PLAIN in list(config.getViews(display))) is sdr, display
        assert sdr == (
            "HDR" not in display
            and "PQ" not in display
            and "HLG" not in display
            and "ST2084" not in display
        )


def test_it_stands_beside_the_aces_views_and_changes_none(every_base):
    name, config = every_base
    base = builtin(name)
    values = everything()
    for display in base.getDisplays():
        before = list(base.getViews(display))
        after = list(config.getViews(display))
        assert [view for view in after if view in before] == before
        assert after[0] == before[0]
        assert after[-1] == before[-1] == "Raw"
    view = base.getDefaultView(SRGB_DISPLAY)
    assert config.getDefaultView(SRGB_DISPLAY) == view
    assert (through(config, values, view) == through(base, values, view)).all()
    assert config.getDefaultViewTransformName() == base.getDefaultViewTransformName()
    versions = [(one.getMajorVersion(), one.getMinorVersion()) for one in (base, config)]
    assert versions[0] == versions[1], "no newer library is needed than for the base"


def test_no_aces_view_transform_takes_part(tmp_path):
    """Whatever the config puts between scene and display by default, the old look stays."""
    look = grade(tmp_path, clamp=False, works_in="srgb_rec709_display")
    shown = []
    for own in (None, "ACES 2.0 - SDR 100 nits (Rec.709)"):
        config = builtin(DEFAULT_CONFIG)
        add_old_view(config, look, made_in=REC709)
        if own:
            config.setDefaultViewTransformName(own)
            kept = config.getViewTransform(own), config.getViewTransform(old_view_name(look, ""))
            config.clearViewTransforms()
            for one in kept:
                config.addViewTransform(one)
        shown.append(through(config, everything(), old_view_name(look, "")))
    assert (shown[0] == shown[1]).all()


@pytest.mark.parametrize("clamp", [True, False])
def test_a_grade_on_code_values(tmp_path, clamp):
    """Some pipelines graded what the display got: the CDL works on encoded values.

    Clamped, the codes are 0 to 1 before and after. Not clamped, highlights come through; below 0
    the built-in configs differ (some mirror the curve, some go on straight), so that is left out.
    """
    config = builtin(DEFAULT_CONFIG)
    look = grade(tmp_path, clamp=clamp, works_in="srgb_rec709_display")
    add_old_view(config, look, made_in=REC709)
    values = everything()
    if not clamp:
        values = values[values.min(axis=1) >= 0.0031308]
    codes = srgb(values) if clamp else 1.055 * values ** (1 / 2.4) - 0.055
    ours = through(config, values, "Old look (warm.cc)")
    assert worst(ours, np.clip(graded(codes, clamp=clamp), 0.0, 1.0)) < CODES
    if not clamp:
        assert worst(ours, np.clip(graded(np.clip(codes, 0.0, 1.0), clamp=True), 0, 1)) > 20


def test_a_cdl_may_give_another_space(tmp_path):
    """Scene values in, code values out: then no encoding is put on top."""
    config = builtin(DEFAULT_CONFIG)
    look = grade(tmp_path, clamp=True, gives="srgb_rec709_display")
    add_old_view(config, look, made_in=REC709)
    ours = through(config, everything(), "Old look (warm.cc)")
    assert worst(ours, graded(everything(), clamp=True)) < CODES


def test_a_correction_of_many(tmp_path):
    path = write_ccc(tmp_path / "grades.ccc", warm=WARM, cool=COOL)
    config = builtin(OLDEST)
    for name in ("warm", "cool"):
        look = load_look_file(path, works_in=REC709, clamp=True, correction=name)
        add_old_view(config, look, made_in=REC709)
    values = everything()
    for name, numbers in (("warm", WARM), ("cool", COOL)):
        ours = through(config, values, f"Old look (grades.ccc {name})")
        assert worst(ours, srgb(graded(values, numbers, clamp=True))) < CODES


def test_it_survives_a_move_and_names_no_folder(tmp_path):
    config = builtin(DEFAULT_CONFIG)
    look = grade(tmp_path, clamp=True)
    add_old_view(config, look, made_in=REC709)
    text = config.serialize()
    assert str(tmp_path) not in text
    moved = tmp_path / "elsewhere"
    moved.mkdir()
    shutil.move(tmp_path / "warm.cc", moved)  # the numbers are in the config
    config = placed(config, moved)
    ours = through(config, everything(), "Old look (warm.cc)")
    assert worst(ours, srgb(graded(everything(), clamp=True))) < CODES


def test_what_the_view_says_of_itself(tmp_path):
    config = builtin(DEFAULT_CONFIG)
    look = grade(tmp_path, clamp=False)
    add_old_view(config, look, made_in=REC709)
    words = config.getDisplayViewDescription(SRGB_DISPLAY, "Old look (warm.cc)")
    for part in ("warm.cc", look.sha256[:12], REC709, "not clamped"):
        assert part in words
    assert config.getViewTransform("Old look (warm.cc)").getDescription() == words


@pytest.mark.parametrize(
    ("made_in", "works_in", "words"),
    [
        ("moonlight", REC709, "no colour space for moonlight"),
        (REC709, "moonlight", "no colour space for moonlight"),
        (REC709, "data", "those numbers are data"),
        (REC709, "g22_rec709_display", "no colour space for g22_rec709_display"),
    ],
)
def test_spaces_that_the_base_lacks(tmp_path, made_in, works_in, words):
    config = builtin(OLDEST)
    with pytest.raises(UseError, match=words):
        add_old_view(config, grade(tmp_path, clamp=True, works_in=works_in), made_in=made_in)
    assert config.serialize() == builtin(OLDEST).serialize(), "nothing was half done"


def test_other_configs_are_refused(tmp_path):
    config = builtin(DEFAULT_CONFIG)
    add_old_view(config, None, made_in=REC709)
    with pytest.raises(UseError, match=r"a view Old look .* already"):
        add_old_view(config, None, made_in=REC709)
    config = builtin(DEFAULT_CONFIG)
    config.setRole("aces_interchange", "ACEScg")
    with pytest.raises(UseError, match="no reference space under the role aces_interchange"):
        add_old_view(config, grade(tmp_path, clamp=True), made_in=REC709)
    config = builtin(DEFAULT_CONFIG)
    config.setActiveDisplays("Rec.2100-PQ - Display")
    with pytest.raises(UseError, match="no SDR display"):
        add_old_view(config, None, made_in=REC709)


def test_names():
    assert old_view_name(None, "lin_p3d65_scene") == "Old look (P3-D65)"
    assert old_view_name(None, "Linear Rec.709 (sRGB)") == "Old look (Linear Rec.709 (sRGB))"
