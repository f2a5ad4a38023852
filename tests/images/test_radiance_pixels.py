"""What EXPOSURE, COLORCORR and PRIMARIES of a Radiance picture do to its pixels."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import colour
import numpy as np
import pytest
from tests.images import written as w

from primecoat.bake.picture import bake_picture
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.errors import ImageError
from primecoat.images.head import Head
from primecoat.images.oiio import read_bands, read_pixels
from primecoat.images.radiance import radiance_scale
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure

AP1 = "PRIMARIES=0.713 0.293 0.165 0.830 0.128 0.044 0.32168 0.33767"
REC709 = "PRIMARIES=0.640 0.330 0.300 0.600 0.150 0.060 0.3127 0.3290"


def sky(folder: Path, name: str, *lines: str) -> Path:
    path = folder / name
    path.write_bytes(w.radiance(*lines))
    return path


@pytest.mark.parametrize(
    ("lines", "factors"),
    [
        ((), (1.0, 1.0, 1.0)),
        (("EXPOSURE=0.1",), (0.1, 0.1, 0.1)),
        (("EXPOSURE=2", "EXPOSURE=4"), (8.0, 8.0, 8.0)),
        (("COLORCORR=1 2 4",), (1.0, 2.0, 4.0)),
        (("EXPOSURE=0.5", "COLORCORR=1 2 4", "COLORCORR=2 2 2"), (1.0, 2.0, 4.0)),
        (("EXPOSURE= 2.5e-1 ",), (0.25, 0.25, 0.25)),
        (("EXPOSURE=0", "EXPOSURE=-1", "EXPOSURE=nan", "EXPOSURE=x"), (1.0, 1.0, 1.0)),
        (("EXPOSURE=1e30",), (1.0, 1.0, 1.0)),  # damage: nothing sane is left of such a picture
        (("\tEXPOSURE=2",), (1.0, 1.0, 1.0)),  # copied from an earlier picture
    ],
)
def test_stored_numbers_are_divided_by_all_lines(
    lines: tuple[str, ...], factors: tuple[float, ...], tmp_path: Path
):
    """Original = stored / product of all. Source: G. Ward, *The RADIANCE Picture File Format*."""
    path = sky(tmp_path, "sky.hdr", *lines)
    assert radiance_scale(Head(BytesIO(path.read_bytes()))) == pytest.approx(factors)
    stored = 2.0 ** (129 - 136) * 128  # RGBE: mantissa times 2^(E - 136)
    expected = np.broadcast_to(stored / np.array(factors), (2, 2, 3))
    np.testing.assert_allclose(read_pixels(path), expected, rtol=1e-6)
    for as_float in (False, True):
        banded = np.concatenate([rows for _, rows in read_bands(path, as_float=as_float)])
        np.testing.assert_allclose(banded, expected, rtol=1e-6)


def test_statistics_are_of_the_original_light(tmp_path: Path):
    plain, dim = sky(tmp_path, "plain.hdr"), sky(tmp_path, "dim.hdr", "EXPOSURE=0.1")
    means = [measure(path, read_header(path)).channels[0].mean for path in (plain, dim)]
    assert means[1] == pytest.approx(10 * means[0], rel=1e-6)


@pytest.mark.parametrize(
    ("lines", "reading", "factor"),
    [((REC709,), "lin_rec709_scene", 1.0), ((AP1, "EXPOSURE=0.1"), "lin_ap1_scene", 10.0)],
)
def test_baked_pictures_hold_the_same_light(
    lines: tuple[str, ...], reading: str, factor: float, tmp_path: Path
):
    """Conversion checked against the matrices of colour-science."""
    path = sky(tmp_path, "sky.hdr", *lines)
    codes = bytes([200, 100, 50, 129] * 4)
    path.write_bytes(path.read_bytes()[:-16] + codes)
    assert read_header(path).statements[0].reading == reading
    target = tmp_path / "sky.exr"
    bake_picture(
        path,
        target,
        reading=reading,
        to_space="lin_ap1_scene",
        config=DEFAULT_CONFIG,
        source_sha256="",
    )
    stored = np.array([200, 100, 50]) * 2.0 ** (129 - 136)
    spaces = colour.RGB_COLOURSPACES
    source = spaces["ITU-R BT.709" if reading == "lin_rec709_scene" else "ACEScg"]
    light = colour.RGB_to_RGB(
        stored * factor, source, spaces["ACEScg"], chromatic_adaptation_transform="Bradford"
    )
    np.testing.assert_allclose(read_pixels(target)[0, 0], light, rtol=2e-3)  # half float


def test_xyz_numbers_are_refused(tmp_path: Path):
    path = tmp_path / "sky.hdr"
    path.write_bytes(w.radiance().replace(b"rgbe", b"xyze"))
    with pytest.raises(ImageError, match="CIE XYZ"):
        read_header(path)


def test_a_gamma_is_told(tmp_path: Path):
    (said,) = read_header(sky(tmp_path, "sky.hdr", "GAMMA=2.2")).statements
    assert (said.kind, said.reading, said.firm) == ("Radiance GAMMA", None, True)
    assert read_header(sky(tmp_path, "sky.hdr", "GAMMA=1.0")).statements == ()
