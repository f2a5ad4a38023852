"""What a misreading costs, against the standards' formulas and another colour library."""

from __future__ import annotations

import math

import colour
import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.config.builtins import BUILTINS, OLDEST

from primecoat.config.misread_data import data_cost
from primecoat.config.misreading import ColourCost, colour_cost, window_of
from primecoat.errors import UseError

ACES_2 = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"
SRGB = "srgb_rec709_scene"
NONE = np.empty((0, 3))
PLAIN = {"display": "sRGB - Display", "view": "Un-tone-mapped"}


def encoded(light: float) -> float:
    """IEC 61966-2-1:1999."""
    return 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


def decoded(code: float) -> float:
    """IEC 61966-2-1:1999."""
    return code / 12.92 if code <= 0.04045 else ((code + 0.055) / 1.055) ** 2.4


def to_ap1() -> np.ndarray:
    """Rec.709 to AP1, white adapted by Bradford, worked out by colour-science."""
    rec709, ap1 = colour.RGB_COLOURSPACES["ITU-R BT.709"], colour.RGB_COLOURSPACES["ACEScg"]
    return colour.matrix_RGB_to_RGB(rec709, ap1, "Bradford")


def angle(one: np.ndarray, other: np.ndarray) -> float:
    cosine = one @ other / np.linalg.norm(one) / np.linalg.norm(other)
    return math.degrees(math.acos(cosine))


@pytest.mark.parametrize("name", BUILTINS)
def test_mid_grey_through_the_default_view(name):
    """8-bit codes of 0.18 under ACES 1 and 2, measured with OpenColorIO alone."""
    cost = colour_cost(window_of(name), SRGB, "ACES2065-1", NONE)
    assert cost.right == pytest.approx([90.8 if "aces-v1.3" in name else 89.0] * 3, abs=0.05)
    assert cost.stops == pytest.approx(math.log2(encoded(0.18) / 0.18), abs=1e-4)  # 1.358
    assert min(cost.read) > max(cost.right) + 40
    assert (cost.mean, cost.p95, cost.sampled) == (None, None, 0)


def test_mid_grey_without_tone_mapping_is_the_standards_formula():
    cost = colour_cost(window_of(ACES_2, **PLAIN), SRGB, "ACEScg", NONE)
    assert cost.right == pytest.approx([117.6] * 3, abs=0.05)
    assert cost.right == pytest.approx([255 * encoded(0.18)] * 3, abs=0.01)
    assert cost.read == pytest.approx([255 * encoded(encoded(0.18))] * 3, abs=0.01)


def test_light_read_as_codes_gets_darker():
    cost = colour_cost(window_of(ACES_2), "lin_rec709_scene", "sRGB - Display", NONE)
    assert cost.stops == pytest.approx(math.log2(decoded(0.18) / 0.18), abs=1e-4)  # -2.726


def test_colour_read_as_data_is_used_as_light():
    window = window_of(ACES_2)
    raw = colour_cost(window, SRGB, "Raw", NONE)
    assert raw.stops == pytest.approx(math.log2(encoded(0.18) / 0.18), abs=1e-4)
    assert raw.read == pytest.approx(colour_cost(window, SRGB, "ACEScg", NONE).read, abs=1e-3)


def test_difference_of_pixels_is_that_of_another_library():
    """Rec.709 codes shown as they are, against the same taken for linear light."""
    rng = np.random.default_rng(5)
    codes = rng.uniform(0.05, 0.6, (200, 3))
    window = window_of(ACES_2, **PLAIN)
    cost = colour_cost(window, SRGB, "Linear Rec.709 (sRGB)", codes)

    def seen(shown: np.ndarray) -> np.ndarray:
        space = colour.RGB_COLOURSPACES["sRGB"]
        light = np.vectorize(decoded)(shown)
        return colour.XYZ_to_Lab(light @ space.matrix_RGB_to_XYZ.T, space.whitepoint)

    right, wrong = seen(codes), seen(np.vectorize(encoded)(codes))
    expected = colour.delta_E(right, wrong, method="CIE 2000")
    assert cost.mean == pytest.approx(expected.mean(), abs=0.01)
    assert cost.p95 == pytest.approx(np.percentile(expected, 95), abs=0.02)
    assert cost.sampled == 200
    assert not cost.nothing_changes


def test_a_display_in_place_of_a_scene_changes_no_number_of_these_configs():
    codes = np.random.default_rng(6).uniform(0, 1, (100, 3))
    cost = colour_cost(window_of(ACES_2), SRGB, "sRGB - Display", codes)
    assert cost.nothing_changes
    assert abs(cost.stops or 0.0) < 1e-5


def test_code_128_of_data():
    """Common practice: 128 stands for one half; IEC 61966-2-1 decodes it to 0.2159."""
    cost = data_cost(ACES_2, "ACEScg", "sRGB - Display", NONE, normal=False)
    assert cost.code_128 == pytest.approx(0.2159, abs=5e-5)
    assert cost.code_128 == pytest.approx(decoded(128 / 255), abs=1e-5)
    steps = [abs(decoded(c / 255) - c / 255) for c in range(256)]
    assert cost.most_off == pytest.approx(max(steps), abs=1e-5)
    assert cost.flat_turned is None
    assert not cost.nothing_changes


def test_flat_normal():
    stored = np.array([128, 128, 255]) / 255
    arrived = to_ap1() @ np.vectorize(decoded)(stored)
    cost = data_cost(ACES_2, "ACEScg", "sRGB - Display", NONE, normal=True)
    expected = angle(2 * stored - 1, 2 * arrived - 1)
    assert cost.flat_turned == pytest.approx(expected, abs=0.02)  # 43.13 degrees
    assert cost.most_turned is None
    assert cost.sampled == 0


def test_worst_normal_of_a_picture():
    rng = np.random.default_rng(7)
    vectors = rng.normal((0, 0, 1), 0.3, (50, 3))
    stored = (vectors / np.linalg.norm(vectors, axis=1)[:, None] + 1) / 2
    cost = data_cost(ACES_2, "ACEScg", "sRGB - Display", stored, normal=True)
    arrived = np.vectorize(decoded)(stored) @ to_ap1().T
    angles = [angle(2 * a - 1, 2 * b - 1) for a, b in zip(stored, arrived, strict=True)]
    assert cost.most_turned == pytest.approx(max(angles), abs=0.05)
    assert cost.most_off == pytest.approx(np.abs(arrived - stored).max(), abs=1e-4)
    assert cost.sampled == 50


def test_signed_normals_are_vectors_already():
    stored = np.array([[-0.6, 0.0, 0.8], [0.0, 0.0, 1.0]])
    cost = data_cost(ACES_2, "ACEScg", "Linear Rec.709 (sRGB)", stored, normal=True)
    angles = [angle(v, to_ap1() @ v) for v in stored]
    assert cost.most_turned == pytest.approx(max(angles), abs=0.02)


def test_other_primaries_leave_grey_data_alone_and_mix_packed_ones():
    grey = data_cost(OLDEST, "ACEScg", "ACES2065-1", NONE, normal=False)
    assert grey.nothing_changes
    packed = np.array([[1.0, 0.5, 0.0], [0.9, 0.3, 0.0]])
    mixed = data_cost(OLDEST, "ACEScg", "ACES2065-1", packed, normal=False)
    assert mixed.code_128 == pytest.approx(128 / 255, abs=1e-5)
    assert not mixed.nothing_changes
    assert mixed.most_off > 0.1


def test_data_read_as_the_working_space_arrive_as_they_are():
    stored = np.array([[0.2, 0.7, 0.9]])
    assert data_cost(ACES_2, "ACEScg", "ACEScg", stored, normal=True).nothing_changes


CONFIG = """
ocio_profile_version: 2
roles: {default: plain, %s}
file_rules: [!<Rule> {name: Default, colorspace: default}]
displays: {screen: [!<View> {name: as it is, colorspace: curved}]}
colorspaces:
  - !<ColorSpace> {name: plain, aliases: [lin_ap1_scene]}
  - !<ColorSpace>
    name: curved
    aliases: [srgb_rec709_scene]
    to_scene_reference: !<ExponentTransform> {value: [2.2, 2.2, 2.2, 1]}
  - !<ColorSpace>
    name: lost
    to_scene_reference: !<FileTransform> {src: gone.spi1d}
"""


def test_a_view_that_ends_in_no_display_space_gives_codes_alone(tmp_path):
    path = tmp_path / "shop.ocio"
    path.write_text(CONFIG % "scene_linear: plain", encoding="utf-8")
    window = window_of(str(path))
    cost = colour_cost(window, SRGB, "plain", np.full((4, 3), 0.5))
    assert cost.right == pytest.approx([255 * 0.18 ** (1 / 2.2)] * 3, abs=0.01)
    assert cost.read == pytest.approx([255 * 0.18 ** (1 / 2.2**2)] * 3, abs=0.01)
    assert (cost.mean, cost.sampled) == (None, 0)
    with pytest.raises(UseError, match="has no colour space for pq_rec2020_display"):
        colour_cost(window, "pq_rec2020_display", "plain", NONE)
    for ask in (
        lambda: colour_cost(window, SRGB, "lost", NONE),
        lambda: data_cost(str(path), "plain", "lost", NONE, normal=False),
    ):
        with pytest.raises(UseError, match=r"cannot make plain of lost: .*gone\.spi1d"):
            ask()


def test_a_config_that_names_no_scene_linear_space(tmp_path):
    path = tmp_path / "bare.ocio"
    path.write_text(CONFIG % "data: plain", encoding="utf-8")
    with pytest.raises(UseError, match="no role scene_linear"):
        window_of(str(path))


def test_no_such_view():
    with pytest.raises(UseError, match="no view 'Sunset'"):
        window_of(ACES_2, view="Sunset")


def test_what_gets_no_light_has_no_stops(tmp_path):
    config = ocio.Config.CreateFromBuiltinConfig(ACES_2)
    dark = ocio.ColorSpace(name="dark")
    dark.setTransform(
        ocio.MatrixTransform(matrix=[0.0] * 15 + [1.0]), ocio.COLORSPACE_DIR_TO_REFERENCE
    )
    config.addColorSpace(dark)
    path = tmp_path / "dark.ocio"
    path.write_text(config.serialize(), encoding="utf-8")
    cost = colour_cost(window_of(str(path)), SRGB, "dark", NONE)
    assert isinstance(cost, ColourCost)
    assert cost.stops is None
    assert max(cost.read) < 1
