"""``primecoat handover``: exit codes, JSON, and what a person is told."""

from __future__ import annotations

import json

import numpy as np
import pytest
from PIL import Image
from tests.renders.handover import masters as m

from primecoat.cli.main import run


@pytest.fixture
def beauty(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("OCIO", raising=False)
    for number in (1, 2):
        m.master(tmp_path / f"beauty.{number:04}.exr", m.covered(seed=number))
    return tmp_path


def test_json_names_all_and_a_second_run_makes_nothing(beauty, capsys):
    asked = ["handover", "beauty.####.exr", "--as", "p3-png", "--number", "16-bit", "--json"]
    assert run(asked) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["document"] == "primecoat.handover/1"
    assert document["libraries"]["OpenColorIO"]
    assert document["recipe"]["display"] == "Display P3 - Display"
    assert document["made"] == ["beauty.0001.png", "beauty.0002.png"]
    assert document["failures"] == []
    assert (beauty / document["manifest"]).is_file()
    assert run(asked) == 0
    again = json.loads(capsys.readouterr().out)
    assert (again["made"], len(again["were_there"])) == ([], 2)


def test_exit_codes(beauty, capsys):
    assert run(["handover", "beauty.0001.exr", "--as", "st2065-4", "--compression", "piz"]) == 2
    assert "ST 2065-4 allows no other" in capsys.readouterr().err
    assert run(["handover", "nowhere.exr", "--as", "st2065-4"]) == 2
    assert run(["handover", "beauty.0001.exr"]) == 2
    assert run(["handover", "beauty.0001.exr", "--as", "srgb-jpeg"]) == 1
    assert "JPEG holds none" in capsys.readouterr().err
    assert run(["handover", "beauty.0001.exr", "--as", "srgb-jpeg", "--over", "white"]) == 2
    assert run(["handover", "beauty.0001.exr", "--as", "srgb-jpeg", "--over", "1,1,1"]) == 0
    (beauty / "beauty.0002.exr").write_bytes(b"")
    assert run(["handover", "beauty.####.exr", "--as", "acescg-exr"]) == 1
    out = capsys.readouterr().out
    assert "1 file written, 0 there already, 1 failed" in out
    assert run(["handover", "beauty.0001.exr", "--as", "srgb-png", "--beyond-half", "x"]) == 2


def test_the_view_may_be_left_un_tone_mapped_and_is_told(beauty, capsys):
    """sRGB-encoded 0.18 is 117.6 of 255 (IEC 61966-2-1)."""
    m.master(beauty / "grey.exr", m.colours((0.18,) * 3))
    assert run(["handover", "grey.exr", "--as", "srgb-png", "--view", "Un-tone-mapped"]) == 0
    assert "on sRGB - Display through Un-tone-mapped" in capsys.readouterr().out
    assert np.asarray(Image.open(beauty / "srgb-png" / "grey.png"))[0, 0].tolist() == [118] * 3


def test_a_look_says_where_it_works(beauty, capsys):
    (beauty / "warm.cc").write_text(
        '<ColorCorrection id="w"><SOPNode><Slope>1.1 1 0.9</Slope><Offset>0 0 0</Offset>'
        "<Power>1 1 1</Power></SOPNode></ColorCorrection>"
    )
    assert run(["handover", "beauty.0001.exr", "--as", "srgb-png", "--look", "warm.cc"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "after the CDL of warm.cc" in told
    assert "in ACEScct, not clamped" in told
    assert run(["handover", "beauty.0001.exr", "--as", "st2065-4", "--look", "warm.cc"]) == 2
    assert run(["handover", "beauty.0001.exr", "--as", "srgb-png", "--look-in", "ACEScct"]) == 2
