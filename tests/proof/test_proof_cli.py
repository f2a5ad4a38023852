"""The verb ``proof``: pictures with their spaces, figures, and a neutral stage for a sheet."""

from __future__ import annotations

import json

import OpenImageIO as oiio
import pytest
from tests.schemas.checking import check_document

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from primecoat.cli.main import run


def test_pictures_and_document(tea, tmp_path, capsys):
    target, out = tea / "tea.gltf", tmp_path / "out"
    told = [*("--size", "32x18", "--samples", "8", "--causes", "0"), "--json", "--out", str(out)]
    assert run(["proof", str(target), *told]) == 0
    found = json.loads(capsys.readouterr().out)
    check_document(found)
    assert (found["document"], found["width"], found["samples"]) == ("primecoat.proof/1", 32, 8)
    assert found["nearer"] in ("rec709", "ap1", "no difference here")
    assert found["noise"] > 0
    for name, space in (("old", "lin_rec709_scene"), ("new", "lin_ap1_scene")):
        source = oiio.ImageInput.open(str(out / f"{name}.exr"))
        assert source is not None
        spec = source.spec()
        assert (spec.width, spec.height) == (32, 18)
        assert spec.get_string_attribute("colorInteropID") == space
    assert (out / "change.png").is_file()


def test_neutral_stage_of_a_sheet(tea, capsys):
    """The demo's sheet has no geometry: sphere, cloth and slab for each of its materials."""
    told = ["--size", "32x18", "--samples", "8", "--causes", "0", "--json"]
    assert run(["proof", str(tea / "tea.csv"), *told]) == 0
    assert json.loads(capsys.readouterr().out)["traced"].startswith("neutral stage")


@pytest.mark.parametrize("size", ["32", "99999x99999"])
def test_sizes_that_are_none(tea, capsys, size):
    assert run(["proof", str(tea / "tea.csv"), "--size", size]) == 2
    assert "primecoat:" in capsys.readouterr().err
