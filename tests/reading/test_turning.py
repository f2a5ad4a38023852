"""What would change an answer: every sentence is held against judging the changed scene anew."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from tests.reading.worlds import images_of, sheet
from tests.scenes import builders as b

from primecoat.images.oiio import write_pixels
from primecoat.reading.policy import policy
from primecoat.reading.turning import turning_points

SRGB = b.chunk(b"sRGB", b"\0")


def points(target: Path, path: str = "a.png") -> tuple[str, ...]:
    return turning_points(images_of(target)[path], policy())


def test_each_witness_left_out(tmp_path: Path):
    """What the sentence says of a left-out witness is what the judge says without it."""
    (tmp_path / "a.png").write_bytes(b.png(3, "uint8", SRGB))
    target = sheet(tmp_path, "a.png,x,base_color,,,")
    said = [words for words in points(target) if words.startswith("Without")]
    for witness in ("slot", "header"):
        then = images_of(target, (witness,))["a.png"]
        outcome = f"{then.reading}, {then.standing}" if then.reading != "unknown" else then.standing
        assert f"Without the {witness} it would be {outcome}." in said
    assert not any("the name" in words for words in said)


def test_what_would_settle_an_unsettled_one(tmp_path: Path):
    """A colour slot alone leaves a prior; the statement it asks for does settle it."""
    (tmp_path / "a.png").write_bytes(b.png())
    target = sheet(tmp_path, "a.png,x,base_color,,,")
    assert images_of(target)["a.png"].standing == "likely"
    assert any(
        "a statement of srgb_rec709_scene in the file" in words.lower()
        and words.endswith("would settle it as srgb_rec709_scene.")
        for words in points(target)
    )
    (tmp_path / "a.png").write_bytes(b.png(3, "uint8", SRGB))
    assert images_of(target)["a.png"].standing == "settled"


def test_what_would_unsettle_a_settled_one(tmp_path: Path):
    """A declaration of colour in a data slot makes it conflicting, as the sentence says."""
    (tmp_path / "a.png").write_bytes(b.png(1))
    target = sheet(tmp_path, "a.png,x,roughness,,,")
    assert "A declaration of lin_rec709_scene in the scene would make it conflicting." in points(
        target
    )
    declared = sheet(tmp_path, "a.png,x,roughness,,lin_rec709,", name="declared.csv")
    assert images_of(declared)["a.png"].standing == "conflicting"


def test_standard_and_uses(tmp_path: Path):
    """A standard's word is said as such; two uses that differ are not mixed."""
    (tmp_path / "a.png").write_bytes(b.png())
    scene = b.write_gltf(
        tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}], [{"name": "glaze"} | b.BASE_COLOUR])
    )
    assert points(scene)[0].startswith("A standard fixes it")
    two = sheet(tmp_path, "a.png,x,base_color,,,", "a.png,x,roughness,,,")
    assert points(two) == ("Its uses differ: each is judged by what is said about it alone.",)


def test_nobody_said_anything(tmp_path: Path):
    """An unknown picture hears what would settle it, data and colour."""
    write_pixels(tmp_path / "a.exr", np.linspace(0, 0.5, 192, dtype=np.float32).reshape(8, 8, 3))
    said = points(tmp_path, "a.exr")
    assert any(words.endswith("would settle it as data.") for words in said)


def test_a_slot_left_out_gives_back_what_it_outranked(tmp_path: Path):
    """Without the data slot the token and the statement count again, and the sentence says so."""
    name = "a_srgb_rec709_scene.png"
    (tmp_path / name).write_bytes(b.png(3, "uint8", SRGB))
    target = sheet(tmp_path, f"{name},x,roughness,,,")
    then = images_of(target, ("slot",))[name]
    assert (then.reading, then.standing) == ("srgb_rec709_scene", "settled")
    assert "Without the slot it would be srgb_rec709_scene, settled." in points(target, name)
