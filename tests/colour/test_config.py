"""Which config is used, and what happens when it cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat.colour.ocio import (
    DEFAULT_CONFIG,
    config_name,
    convert,
    load_config,
    space_in_config,
    through_view,
)
from primecoat.errors import InputError, UseError

OWN = """ocio_profile_version: 2.1
environment: {}
roles: {default: lin_ap1_scene}
displays:
  screen:
    - !<View> {name: plain, colorspace: lin_ap1_scene}
colorspaces:
  - !<ColorSpace>
    name: lin_ap1_scene
  - !<ColorSpace>
    name: lin_rec709_scene
    to_scene_reference: !<CDLTransform> {slope: [2, 2, 2], style: noclamp}
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    path = tmp_path / "own.ocio"
    path.write_text(OWN)
    return path


def test_order(monkeypatch: pytest.MonkeyPatch, own: Path):
    """The config asked for comes first, then ``OCIO``, then the pinned default."""
    monkeypatch.delenv("OCIO", raising=False)
    assert config_name() == DEFAULT_CONFIG
    monkeypatch.setenv("OCIO", str(own))
    assert config_name() == str(own)
    assert config_name("ocio://cg-config-v4.0.0_aces-v2.0_ocio-v2.5").startswith("ocio://")
    monkeypatch.setenv("OCIO", "")
    assert config_name() == DEFAULT_CONFIG


def test_config_file_does_the_maths(own: Path):
    """A config file's own transforms are used: this one makes Rec.709 twice as bright."""
    assert convert((0.1, 0.2, 0.3), "lin_rec709_scene", "lin_ap1_scene", str(own)) == pytest.approx(
        (0.2, 0.4, 0.6), abs=1e-6
    )


def test_builtin_by_both_names():
    """A built-in config loads under its plain and under its ``ocio://`` name."""
    plain, address = load_config(DEFAULT_CONFIG), load_config(f"ocio://{DEFAULT_CONFIG}")
    assert plain.getName() == address.getName() == DEFAULT_CONFIG


@pytest.mark.parametrize("content", [None, "", "not a config: [", "\x00\x01"])
def test_config_that_cannot_be_loaded(tmp_path: Path, content: str | None):
    """A missing, empty or damaged config is our own error and names the file."""
    path = tmp_path / "broken.ocio"
    if content is not None:
        path.write_text(content)
    with pytest.raises(InputError, match=r"broken\.ocio"):
        load_config(str(path))


def test_builtin_that_does_not_exist():
    """An unknown built-in name is our own error, which lists those that exist."""
    with pytest.raises(InputError, match=DEFAULT_CONFIG):
        load_config("ocio://no-such-config")


def test_space_that_is_not_there(own: Path):
    """A reading that a config has no space for is a wrong use, not a crash."""
    with pytest.raises(UseError, match="no colour space for srgb_rec709_scene"):
        space_in_config("srgb_rec709_scene", str(own))


def test_four_channels_are_refused():
    """Colour maths takes three channels; alpha never goes through it."""
    with pytest.raises(UseError, match="4 channels, not 3"):
        convert((0.1, 0.2, 0.3, 1.0), "lin_rec709_scene", "lin_ap1_scene")


@pytest.mark.parametrize(
    ("stops", "code"),
    # 8-bit codes of 0.18 * 2^EV under the ACES 2 SDR view, measured with OpenColorIO 2.6.0
    [(-2, 30.6), (0, 89.0), (2, 163.7), (4, 221.0)],
)
def test_grey_through_the_view(stops: int, code: float):
    """Neutral greys come through the default view at known codes, within 0.1 (the last: 0.5)."""
    found = through_view((0.18 * 2.0**stops,) * 3, "lin_ap1_scene") * 255
    assert found == pytest.approx((code,) * 3, abs=0.1 if stops < 4 else 0.5)
    assert max(found) - min(found) <= 0.02  # neutral stays neutral
