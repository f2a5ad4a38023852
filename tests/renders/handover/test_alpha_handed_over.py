"""Alpha: never changed; multiplied in OpenEXR, not in PNG and TIFF; divided before a view."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
from PIL import Image
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.errors import RefusedError, UseError
from primecoat.images.oiio import write_pixels

SRGB, VIEW = "sRGB - Display", "ACES 2.0 - SDR 100 nits (Rec.709)"


def handed(path, kind, **options):
    found = workflow.handover([path], kind, **options)
    assert not found.failed, found.failed
    return found.folder / found.done[0].record.output, found.done[0].record.figures


@pytest.mark.parametrize("kind", ["st2065-4", "ap0-exr", "acescg-exr"])
def test_alpha_plane_is_identical_in_exr(tmp_path, kind):
    pixels = m.covered()
    out, _ = handed(m.master(tmp_path / "cup.exr", pixels, kind="half"), kind)
    stored = m.exr(out)[1]
    assert stored[..., 3].tobytes() == pixels[..., 3].astype(np.float16).tobytes()


@pytest.mark.parametrize(("kind", "number"), [("srgb-png", "8-bit"), ("p3-tiff", "16-bit")])
def test_alpha_is_rounded_to_nearest_and_not_encoded(tmp_path, kind, number):
    """PNG 3, 13.16 and TIFF 6.0 (ExtraSamples 2): alpha is linear, colour not multiplied by it."""
    pixels = m.covered()
    out, figures = handed(m.master(tmp_path / "cup.exr", pixels), kind, number=number)
    most = 255 if number == "8-bit" else 65535
    stored = imagecodecs.imread(str(out))
    exact = pixels[..., 3].astype(np.float64) * most
    assert np.abs(stored[..., 3] - exact).max() <= 0.5
    assert figures["alpha"] == dict.fromkeys(("not_finite", "beyond_half", "below", "above"), 0)
    if out.suffix == ".tif":
        assert [int(kind) for kind in m.tiff_tag(out, "ExtraSamples")] == [2]


@pytest.mark.parametrize(("kind", "most"), [("srgb-png", 255), ("srgb-tiff", 65535)])
def test_half_covered_edge(tmp_path, kind, most):
    """Half of a glaze over nothing: the view's code of the glaze itself, with half of alpha."""
    glaze = (0.4, 0.12, 0.05)
    edge = np.array([[(*glaze, 1), (*(c / 2 for c in glaze), 0.5), (0, 0, 0, 0)]], np.float32)
    out, _ = handed(m.master(tmp_path / "edge.exr", edge), kind)
    stored = imagecodecs.imread(str(out))[0].astype(int)
    wanted = m.view(m.colours(glaze), SRGB, VIEW)[0, 0]
    for at in (0, 1):
        np.testing.assert_allclose(stored[at, :3], wanted * most, atol=0.5 + 1 / 256)
    assert stored[:, 3].tolist() == [most, (most + 1) // 2, 0]


def test_half_covered_edge_in_exr_is_a_matrix_away(tmp_path):
    """Colour stays multiplied: TRA2 (ACES documentation) of what was rendered, within 1e-6."""
    tra2 = np.array(
        [
            [0.6954522414, 0.1406786965, 0.1638690622],
            [0.0447945634, 0.8596711185, 0.0955343182],
            [-0.0055258826, 0.0040252103, 1.0015006723],
        ]
    )
    edge = np.array([[(0.2, 0.06, 0.025, 0.5)]], np.float32)
    out, _ = handed(m.master(tmp_path / "edge.exr", edge), "ap0-exr", number="float")
    np.testing.assert_allclose(m.exr(out)[1][0, 0, :3], tra2 @ edge[0, 0, :3], atol=1e-6)


def test_jpeg_refuses_alpha_unless_it_is_told_what_to_do(tmp_path):
    glaze, behind = np.array((0.4, 0.12, 0.05)), np.array((0.18, 0.5, 0.02))
    pixels = np.zeros((16, 48, 4), np.float32)
    pixels[:, :16] = (*glaze, 1)
    pixels[:, 16:32] = (*(glaze / 2), 0.5)
    path = m.master(tmp_path / "edge.exr", pixels)
    with pytest.raises(RefusedError, match="JPEG holds none"):
        workflow.handover([path], "srgb-jpeg")
    assert [p.name for p in tmp_path.iterdir()] == ["edge.exr"]
    over, _ = handed(path, "srgb-jpeg", over=tuple(behind), out=tmp_path / "over", quality=100)
    mixed = np.array([glaze, glaze / 2 + behind / 2, behind])  # light adds before the view
    wanted = m.view(mixed[None].astype(np.float32), SRGB, VIEW)[0] * 255
    found = np.asarray(Image.open(over))[8, (8, 24, 40)].astype(float)
    np.testing.assert_allclose(found, wanted, atol=2.5)
    dropped, _ = handed(path, "srgb-jpeg", drop_alpha=True, out=tmp_path / "drop", quality=100)
    wanted = m.view(pixels[8:9, (8, 24, 40), :3], SRGB, VIEW)[0] * 255
    found = np.asarray(Image.open(dropped))[8, (8, 24, 40)].astype(float)
    np.testing.assert_allclose(found, wanted, atol=2.5)
    with pytest.raises(UseError, match="dropped or used"):
        workflow.handover([path], "srgb-jpeg", drop_alpha=True, over=(0, 0, 0))


def test_straight_alpha_is_multiplied_into_exr(tmp_path):
    """A 16-bit PNG's colour is not multiplied by alpha (PNG 3, 6.2); OpenEXR's is."""
    codes = np.array([[(40000, 20000, 10000, 32768)]], np.uint16)
    write_pixels(tmp_path / "cup.png", codes)
    out, figures = handed(
        tmp_path / "cup.png", "acescg-exr", in_space="lin_ap1_scene", number="float"
    )
    values = codes[0, 0] / 65535
    np.testing.assert_allclose(m.exr(out)[1][0, 0, :3], values[:3] * values[3], atol=1e-6)
    assert figures["space_said_by"] == "person"


def test_light_under_alpha_zero_is_kept_and_told(tmp_path):
    pixels = np.array([[(0.5, 0.3, 0.1, 0), (0, 0, 0, 0), (0.5, 0.3, 0.1, 1)]], np.float32)
    path = m.master(tmp_path / "glow.exr", pixels)
    out, figures = handed(path, "srgb-png")
    stored = np.asarray(Image.open(out))[0]
    assert stored[0, :3].tolist() == stored[2, :3].tolist() != [0, 0, 0]
    assert figures["light_without_cover"] == 1
