"""The verb ``swatch``: its documents, its refusals, and what a person sees."""

from __future__ import annotations

import pytest
from tests.cli.terminal import Terminal, in_a_process

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_VIEW


def test_document(terminal: Terminal):
    outcome = terminal("swatch", "1,0,0", "--in", "lin_rec709_scene", "--json")
    assert (outcome.code, outcome.err) == (0, "")
    document = outcome.document
    assert document["document"] == "primecoat.swatch/1"
    assert document["config"] == DEFAULT_CONFIG
    assert list(document["spaces"]) == list(SPACES)
    # Color Interop Forum, Texture Assets v1.1.0: red of Rec.709 in AP1
    acescg = pytest.approx([0.613097, 0.070194, 0.020616], abs=1e-6)
    assert document["spaces"]["lin_ap1_scene"] == acescg
    assert document["copy"]["lin_ap1_scene"] == "0.613097, 0.070194, 0.020616"
    assert document["codes"]["srgb_rec709_scene"] == {"hex": "#ff0000", "codes": [255, 0, 0]}
    assert document["temperature"]["kelvin"] is None
    assert document["gamuts"]["rec709"]["inside"] is True
    assert document["through"] is document["against"] is None


def test_through_a_view(terminal: Terminal):
    grey = "0.18,0.18,0.18"
    outcome = terminal("swatch", grey, "--in", "acescg", "--through", DEFAULT_VIEW, "--json")
    assert outcome.document["through"]["codes"] == [89, 89, 89]  # measured, OpenColorIO alone


def test_against_a_view(terminal: Terminal):
    document = terminal("swatch", "#595959", "--against", DEFAULT_VIEW, "--json").document
    against = document["against"]
    assert against["reachable"] is True
    assert against["scene"] == pytest.approx([0.18] * 3, abs=0.002)
    assert against["uses"] == {"emissive": True, "unlit": True, "reflectance": True}
    assert document["spaces"]["lin_ap1_scene"] == against["scene"]
    assert document["through"] is None
    white = terminal("swatch", "#ffffff", "--against", DEFAULT_VIEW, "--json").document["against"]
    assert white["uses"] == {"emissive": True, "unlit": True, "reflectance": False}


def test_gains(terminal: Terminal):
    arguments = ("swatch", "--gains", "1.2,1,0.8", "--from", "lin_rec709_scene")
    document = terminal(*arguments, "--json").document
    assert document["document"] == "primecoat.gains/1"
    assert document["matrix"][0] == pytest.approx([1.2093, -0.0750, -0.0211], abs=1e-4)
    assert set(document["best"]["residual"]) == {"median", "p95", "max"}
    assert "1.099194, 1.017005, 0.841578" in terminal(*arguments).out


def test_what_a_person_sees(terminal: Terminal):
    out = terminal("swatch", "b5651d").out
    for line in ("srgb_rec709_scene", "#b5651d", "plausible", "0.328065, 0.151851, 0.034472"):
        assert line in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["#12345"], "no colour"),
        (["#gg0000"], "no colour"),
        (["1,2"], "no colour"),
        (["nan,0,0", "--in", "acescg"], "not finite"),
        (["inf,0,0", "--in", "acescg"], "not finite"),
        (["1e9,0,0", "--in", "acescg"], "65504"),
        (["1,1,1"], "--in"),
        (["1,1,1", "--in", "moon"], "no colour space moon"),
        (["1,1,1", "--in", "data"], "no colour space data"),
        (["500K"], "Planckian"),
        (["ff0000", "--through", "moon"], "no view moon"),
        (["ff0000", "--to", "moon"], "moon"),
        (["ff0000", "--to", "srgb_rec709_scene"], "linear"),
        (["ff0000", "--config", "moon"], "moon"),
        (["ff0000", "--from", "acescg"], "--gains"),
        (["--gains", "1,1,1"], "--from"),
        (["--gains", "1,-1,1", "--from", "acescg"], "no gains"),
        ([], "No colour"),
    ],
)
def test_refusals(arguments: list[str], words: str, terminal: Terminal):
    """2, and one line that names what was found."""
    outcome = terminal("swatch", *arguments)
    assert (outcome.code, outcome.out) == (2, "")
    assert words in outcome.line


def test_negative_numbers_after_two_hyphens():
    outcome = in_a_process("swatch", "--in", "lin_rec709_scene", "--json", "--", "-0.3,0.5,0.4")
    assert outcome.code == 0
    assert outcome.document["gamuts"]["rec709"]["inside"] is False
    assert outcome.document["gamuts"]["ap1"]["inside"] is True


@pytest.mark.parametrize("name", ["sRGB", "sRGB - Texture", "srgb_tx", "srgb_rec709_scene"])
def test_a_space_has_many_names(terminal: Terminal, name: str):
    """The space of a colour may be named as the config does, or by a name from elsewhere."""
    document = terminal("swatch", "0.5,0.5,0.5", "--in", name, "--json").document
    assert document["colour"]["space"] == "srgb_rec709_scene"
    gains = terminal("swatch", "--gains", "1.2,1,0.8", "--from", "scene_linear", "--json").document
    assert gains["from"] == "lin_ap1_scene"
