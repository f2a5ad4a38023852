"""Masters that are not handed over, and numbers that are counted, refused or clamped on request."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
from PIL import Image
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.errors import ImageError, RefusedError, UseError


def only(found):
    assert not found.failed, found.failed
    return found.folder / found.done[0].record.output, found.done[0].record.figures


def test_a_space_that_nobody_states_is_not_assumed(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.light(), space="")  # its chromaticities are a hint
    with pytest.raises(UseError, match=r"Nobody says .* --in SPACE"):
        workflow.handover([path], "acescg-exr")
    out, figures = only(workflow.handover([path], "acescg-exr", in_space="lin_rec709_scene"))
    assert figures["space_said_by"] == "person"
    white = m.master(tmp_path / "white.exr", m.colours((1, 0, 0)), space="")
    out, _ = only(workflow.handover([white], "acescg-exr", in_space="lin_rec709_scene"))
    red = (0.613097, 0.070194, 0.020616)  # ASWF Color Interop Forum, Texture Assets, by Bradford
    np.testing.assert_allclose(m.exr(out)[1][0, 0], red, rtol=2**-11)


def test_the_view_is_never_applied_twice(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.light())
    seen, _ = only(workflow.handover([path], "srgb-png", number="16-bit"))
    for kind in ("st2065-4", "ap0-exr", "acescg-exr", "p3-png", "pq-png"):
        with pytest.raises(RefusedError, match=r"display-referred .* has been through its view"):
            workflow.handover([seen], kind)
    again, figures = only(workflow.handover([seen], "srgb-tiff"))  # same display: stored anew
    np.testing.assert_array_equal(imagecodecs.imread(str(again)), imagecodecs.imread(str(seen)))
    assert figures["space"] == "srgb_rec709_display"
    assert not list(tmp_path.glob("srgb-png/st2065-4/*.exr"))


@pytest.mark.parametrize("kind", ["st2065-4", "srgb-png"])
@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_not_finite_light_is_refused_or_replaced_in_its_own_channel(tmp_path, kind, bad):
    pixels = np.full((2, 3, 4), 0.5, np.float32)
    pixels[1, 2, 0] = bad
    path = m.master(tmp_path / "sun.exr", pixels)
    found = workflow.handover([path], kind)
    assert "NaN or infinity, first in row 1" in found.failed[0].reason
    assert not found.done
    assert [p.suffix for p in (tmp_path / kind).iterdir() if p.is_file()] == [".json"]
    out, figures = only(workflow.handover([path], kind, beyond_half="clamp"))
    assert figures["colour"]["not_finite"] == 1
    assert figures["alpha"]["not_finite"] == 0
    stored = m.exr(out)[1] if kind == "st2065-4" else np.asarray(Image.open(out)).astype(int)
    assert np.isfinite(stored).all()
    np.testing.assert_array_equal(stored[0], np.broadcast_to(stored[0, 0], stored[0].shape))
    np.testing.assert_array_equal(stored[1, 2, 3], stored[0, 0, 3])


def test_light_beyond_half_is_refused_stored_as_float_or_clamped(tmp_path):
    """Largest half float 65504: IEEE 754-2008, binary16; a stock write gives infinity."""
    path = m.master(tmp_path / "sun.exr", m.colours((145000, 2, 1), (1, 1, 1)))
    found = workflow.handover([path], "acescg-exr")
    assert "beyond 65504" in found.failed[0].reason
    assert "--number float" in found.failed[0].remedy
    strict = workflow.handover([path], "st2065-4")
    assert "float" not in strict.failed[0].remedy
    out, figures = only(workflow.handover([path], "acescg-exr", beyond_half="clamp"))
    assert figures["colour"]["beyond_half"] == 1
    assert m.exr(out)[1][0, 0].tolist() == [65504, 2, 1]
    floats, _ = only(
        workflow.handover([path], "acescg-exr", number="float", out=tmp_path / "float")
    )
    assert m.exr(floats)[1][0, 0, 0] == 145000


def test_a_bad_frame_stops_no_other(tmp_path):
    for number in (1, 2, 3):
        m.master(tmp_path / f"beauty.{number:04}.exr", m.light(seed=number))
    (tmp_path / "beauty.0002.exr").write_bytes(b"no picture")
    found = workflow.handover([tmp_path / "beauty.####.exr"], "acescg-exr")
    assert [d.record.output for d in found.done] == ["beauty.0001.exr", "beauty.0003.exr"]
    assert found.failed[0].master.endswith("beauty.0002.exr")
    assert [f["master"] for f in found.document["failures"]] == ["beauty.0002.exr"]
    with pytest.raises(ImageError):
        workflow.handover([tmp_path / "beauty.0002.exr"], "acescg-exr", out=tmp_path / "x")
    (tmp_path / "b").mkdir()
    two = m.master(tmp_path / "b" / "beauty.0001.exr", m.light())
    with pytest.raises(UseError, match="both be handed over as"):
        workflow.handover([tmp_path / "beauty.0001.exr", two], "acescg-exr")
    with pytest.raises(UseError, match="written over"):
        workflow.handover([two], "acescg-exr", out=tmp_path / "b")
