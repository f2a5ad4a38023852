"""One answer from survey and gate, and no witness that agrees makes a reading less firm.

What an enclosing element or the root says of an image: *MaterialX Specification 1.39*, *Color
Spaces and Color Management Systems*. How much each is worth: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.reading.worlds import P3_CICP, images_of
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.reading.evidence import WITNESSES, agree
from primecoat.reading.judgement import FIRM

SRGB = b.chunk(b"sRGB", b"\0")
P3 = b.chunk(b"cICP", P3_CICP)


def document(
    folder: Path, root: str = "", graph: str = "", own: str = "", chunk: bytes = b""
) -> Path:
    """Write an image in a graph, with spaces at root, graph and file name, and a chunk in it."""
    (folder / "cup_color.png").write_bytes(b.png(3, "uint8", *([chunk] if chunk else [])))
    at_root, at_graph, at_file = (f' colorspace="{s}"' if s else "" for s in (root, graph, own))
    path = folder / "s.mtlx"
    path.write_text(
        f"""<?xml version="1.0"?>
<materialx version="1.39"{at_root}>
  <nodegraph name="ng"{at_graph}>
    <image name="im" type="color3">
      <input name="file" type="filename" value="cup_color.png"{at_file}/>
    </image>
    <output name="o" type="color3" nodename="im"/>
  </nodegraph>
  <standard_surface name="ss" type="surfaceshader">
    <input name="base_color" type="color3" nodegraph="ng" output="o"/>
  </standard_surface>
  <surfacematerial name="m" type="material">
    <input name="surfaceshader" type="surfaceshader" nodename="ss"/>
  </surfacematerial>
</materialx>
""",
        encoding="utf-8",
    )
    return path


def test_what_a_graph_says_of_its_images_settles_them(tmp_path):
    """It is said of them in particular; survey and gate agree that it is."""
    target = document(tmp_path, root="lin_rec709", graph="srgb_texture")
    image = images_of(target)["cup_color.png"]
    assert (image.reading, image.standing) == ("srgb_rec709_scene", "settled")
    gate = workflow.gate(workflow.survey(target, verify=True, workers=1))
    assert "cup_color.png" in gate.explicit_places


def test_what_a_root_says_of_everything_is_confirmed_first(tmp_path):
    """A picture in the working space of its document: likely, and so left at the gate."""
    target = document(tmp_path, root="srgb_texture")
    image = images_of(target)["cup_color.png"]
    assert (image.reading, image.standing) == ("srgb_rec709_scene", "likely")
    found = workflow.survey(target, verify=True, workers=1)
    (left,) = workflow.gate(found).left
    assert "likely srgb_rec709_scene" in left.why
    workflow.apply(workflow.plan(found, "declare", with_likely=True))
    after = workflow.survey(tmp_path / "s.primed.mtlx", verify=True, workers=1)
    assert after.readings.images[0].standing == "settled"
    assert workflow.gate(after).open


@pytest.mark.parametrize("chunk", [b"", SRGB, P3], ids=["silent", "srgb", "p3"])
@pytest.mark.parametrize("own", ["", "srgb_texture", "srgb_displayp3"])
@pytest.mark.parametrize("graph", ["", "srgb_texture"])
@pytest.mark.parametrize("root", ["", "srgb_texture", "lin_rec709"])
def test_no_witness_that_agrees_makes_it_less_firm(tmp_path, root, graph, own, chunk):
    """Whoever is left out, a reading gets firmer only if the one left out spoke against it."""
    target = document(tmp_path, root, graph, own, chunk)
    image = images_of(target)["cup_color.png"]
    if image.standing in FIRM:
        return
    for witness in WITNESSES:
        said = [e for e in image.evidence if e.witness == witness]
        then = images_of(target, without=[witness])["cup_color.png"] if said else image
        if then.standing in FIRM:
            assert any(not agree(e.claim, then.reading) for e in said), (witness, then.reading)
