"""What the other witnesses say when one is left unheard."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.reading.worlds import images_of, sheet
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.house import House
from primecoat.reading.decisions import record_decision
from primecoat.reading.evidence import WITNESSES

NAME = "bowl_color.png"
HOUSE = House(slots=(("*_color", "base_color"),))


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """A picture on which every witness has something to say."""
    statement = b.chunk(b"sRGB", b"\0")
    for name in (NAME, "bowl_color_normal.png", "bowl_color_roughness.png"):
        (tmp_path / name).write_bytes(b.png(3, "uint8", statement))
    record_decision(tmp_path, NAME, "srgb_p3d65_scene", "")
    rows = [
        f"{NAME},x,base_color,,srgb_texture,",
        "bowl_color_normal.png,x,normal,,,",
        "bowl_color_roughness.png,x,roughness,,,",
    ]
    return sheet(tmp_path, *rows)


def test_all_are_heard(scene: Path):
    """Without anyone left out, all eight witnesses testify."""
    assert {e.witness for e in images_of(scene, house=HOUSE)[NAME].evidence} == set(WITNESSES)


@pytest.mark.parametrize("witness", WITNESSES)
def test_one_left_out(witness: str, scene: Path):
    """Leaving one out removes exactly its evidence."""
    everything = images_of(scene, house=HOUSE)[NAME].evidence
    fewer = images_of(scene, without=[witness], house=HOUSE)[NAME].evidence
    left = tuple(e for e in everything if e.witness != witness)
    assert [(e.witness, e.words) for e in fewer] == [(e.witness, e.words) for e in left]


def test_all_left_out(scene: Path):
    """With nobody heard, every picture is unknown."""
    for image in images_of(scene, without=WITNESSES, house=HOUSE).values():
        assert (image.reading, image.standing, image.evidence) == ("unknown", "unknown", ())


def test_what_the_others_would_say(scene: Path):
    """Without the person the declaration holds; without that too, the file's statement."""
    assert images_of(scene)[NAME].standing == "overruled"
    declared = images_of(scene, without=["person"])[NAME]
    assert (declared.reading, declared.standing) == ("srgb_rec709_scene", "settled")
    bare = images_of(scene, without=["person", "declaration", "slot", "header", "siblings"])[NAME]
    assert bare.standing == "unknown"


def test_a_slot_that_is_not_heard_outranks_nothing(tmp_path: Path, written_faulted: Path) -> None:
    """Without the slot, a profile in a glTF picture speaks as it does in a folder."""
    shutil.copytree(written_faulted, tmp_path / "tea")
    scene = tmp_path / "tea" / "tea.gltf"
    images = {i.record.name: i for i in workflow.survey(scene, without=["slot"]).readings.images}
    bowl = images["bowl_color.png"]
    assert [e.set_aside for e in bowl.evidence if e.witness == "header"] == [""]
    assert bowl.reading == "srgb_p3d65_scene"
