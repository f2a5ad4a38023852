"""A person's word: kept in a readable file, heard above all, taken back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.reading.worlds import images_of, sheet
from tests.scenes import builders as b

from primecoat.colour.ids import READINGS
from primecoat.errors import InputError, RefusedError, UseError
from primecoat.reading.decisions import (
    Decision,
    Spoken,
    decisions_file,
    read_decisions,
    record_decision,
    record_decisions,
    take_back_step,
    user_name,
)
from primecoat.reading.names import tagged_name


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """A sheet with one picture in a colour slot, which is likely sRGB-encoded Rec.709."""
    (tmp_path / "maps").mkdir()
    (tmp_path / "maps" / "a.png").write_bytes(b.png())
    return sheet(tmp_path, "maps/a.png,x,base_color,,,")


def judged(scene: Path, path: str = "maps/a.png") -> tuple[str, str]:
    image = images_of(scene)[path]
    return image.reading, image.standing


def test_word_is_heard_and_survives(scene: Path):
    """A decision overrules, again at the next survey, and is reported as a person's word."""
    record_decision(scene.parent, "maps/a.png", "srgb_p3d65_scene", "shot on a wide-gamut camera")
    for _ in range(2):
        assert judged(scene) == ("srgb_p3d65_scene", "overruled")
    (word,) = [e for e in images_of(scene)["maps/a.png"].evidence if e.witness == "person"]
    assert "shot on a wide-gamut camera" in word.words
    assert str(word.location) == ".primecoat/decisions.json#maps/a.png"


def test_file_is_readable(scene: Path):
    """The file is JSON text that says image, reading, reason, name and date, in order."""
    record_decision(scene.parent, "z.png", "data", "")
    record_decision(scene.parent, "maps/a.png", "acescg", "größer")
    text = decisions_file(scene.parent).read_text("utf-8")
    document = json.loads(text)
    assert document["document"] == "primecoat.decisions/1"
    assert [d["image"] for d in document["decisions"]] == ["maps/a.png", "z.png"]
    first = document["decisions"][0]
    assert (first["reading"], first["because"]) == ("lin_ap1_scene", "größer")
    assert sorted(first) == ["because", "by", "image", "reading", "when"]
    assert "größer" in text
    assert len(text.splitlines()) > 10


def test_changed_mind(scene: Path):
    """A second word takes the place of the first."""
    record_decision(scene.parent, "maps/a.png", "data", "")
    record_decision(scene.parent, "maps/a.png", "lin_ap1_scene", "")
    assert judged(scene) == ("lin_ap1_scene", "overruled")
    assert len(read_decisions(scene.parent)) == 1


def test_word_taken_back(scene: Path):
    """``unknown`` takes a word back; what the other witnesses say holds again."""
    before = judged(scene)
    record_decision(scene.parent, "maps/a.png", "data", "")
    assert record_decision(scene.parent, "maps/a.png", "unknown", "") is None
    assert judged(scene) == before
    assert read_decisions(scene.parent) == {}


def test_reading_that_does_not_exist(scene: Path):
    """A word that names no reading is refused, with those that exist; nothing is written."""
    with pytest.raises(UseError, match="srgb_rec709_scene"):
        record_decision(scene.parent, "maps/a.png", "moonlight", "")
    assert not decisions_file(scene.parent).exists()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "not valid JSON"),
        ("{", "not valid JSON"),
        ("[]", "not a primecoat.decisions/1"),
        ('{"document": "primecoat.decisions/2", "decisions": []}', "not a primecoat.decisions/1"),
        ('{"document": "primecoat.decisions/1"}', "decisions"),
        ('{"document": "primecoat.decisions/1", "decisions": [1]}', "decisions"),
        ('{"document": "primecoat.decisions/1", "decisions": [{"image": "a"}]}', "decisions"),
        (
            '{"document": "primecoat.decisions/1", "decisions": [{"image": ["a"], '
            '"reading": "data", "because": "", "by": "", "when": ""}]}',
            "no text",
        ),
        (
            '{"document": "primecoat.decisions/1", "decisions": [{"image": "a", '
            '"reading": "moonlight", "because": "", "by": "", "when": ""}]}',
            "moonlight",
        ),
    ],
)
def test_damaged_file(content: str, words: str, scene: Path):
    """A damaged file stops the survey and names the file; a person's word is not passed over."""
    path = decisions_file(scene.parent)
    path.parent.mkdir()
    path.write_text(content)
    with pytest.raises(InputError, match=words) as error:
        images_of(scene)
    assert "decisions.json" in str(error.value)
    assert path.read_text() == content


@pytest.mark.parametrize("reading", READINGS)
def test_word_covers_the_tagged_name(reading: str, scene: Path):
    """A word on a picture holds for the name that tagging gives it, and for no other name."""
    folder = scene.parent
    decision = record_decision(folder, "maps/a.png", reading, "")
    assert decision is not None
    tagged = tagged_name("a.png", reading)
    (folder / "maps" / tagged).write_bytes(b.png())
    (folder / "maps" / "a_wet.png").write_bytes(b.png())
    (folder / tagged).write_bytes(b.png())
    rows = [f"{path},x,base_color,,," for path in (f"maps/{tagged}", "maps/a_wet.png", tagged)]
    images = images_of(sheet(folder, *rows, name="s.primed.csv"))
    assert images[f"maps/{tagged}"].reading == reading
    assert images[f"maps/{tagged}"].standing == "overruled"
    assert images["maps/a_wet.png"].standing != "overruled"
    assert images[tagged].standing != "overruled"  # another folder


def test_word_on_a_set_of_tiles():
    """A word on a set covers the tagged set."""
    decision = Decision(image="m/a.<UDIM>.png", reading="data", because="", by="", when="")
    spoken = Spoken({decision.image: decision})
    assert spoken.on("m/a_data.<UDIM>.png") is decision
    assert spoken.on("m/a_data.1001.png") is None


def test_old_token_in_the_name():
    """A word on a picture with a stale token covers the name with the right one."""
    decision = Decision(image="a_srgb_texture.png", reading="data", because="", by="", when="")
    assert Spoken({decision.image: decision}).on("a_data.png") is decision


def test_own_word_comes_first():
    """A word on the tagged picture itself outranks the one on its old name."""
    old = Decision(image="a.png", reading="data", because="", by="", when="")
    own = Decision(image="a_data.png", reading="lin_ap1_scene", because="", by="", when="")
    assert Spoken({"a.png": old, "a_data.png": own}).on("a_data.png") is own
    assert Spoken({"a.png": old}).on("a_data.png") is old
    assert Spoken({"a.png": old}).on("b.png") is None


def test_word_taken_back_by_the_tagged_name(scene: Path):
    """Taking a word back by the tagged name takes back the word that covers it."""
    record_decision(scene.parent, "maps/a.png", "data", "")
    record_decision(scene.parent, "maps/a_data.png", "unknown", "")
    assert read_decisions(scene.parent) == {}


def test_word_on_colour_leaves_alpha_alone(tmp_path: Path):
    """A word on a picture with cut-out is about its colour; alpha stays data."""
    (tmp_path / "a.png").write_bytes(b.png(4))
    scene = sheet(tmp_path, "a.png,x,base_color,,,", "a.png,x,opacity,a,,")
    record_decision(tmp_path, "a.png", "srgb_p3d65_scene", "")
    image = images_of(scene)["a.png"]
    assert [u.judgement.reading for u in image.uses] == ["srgb_p3d65_scene", "data"]
    assert (image.reading, image.standing) == ("srgb_p3d65_scene", "overruled")


def test_word_ends_a_conflict(tmp_path: Path):
    """A word on a picture that is wanted two ways settles it for both uses."""
    (tmp_path / "a.png").write_bytes(b.png())
    materials = [b.BASE_COLOUR | {"occlusionTexture": {"index": 0}}]
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}], materials))
    assert judged(scene, "a.png")[1] == "conflicting"
    record_decision(tmp_path, "a.png", "data", "")
    assert judged(scene, "a.png") == ("data", "overruled")


def test_without_the_person(scene: Path):
    """With persons unheard the word counts for nothing, and a damaged file does not matter."""
    record_decision(scene.parent, "maps/a.png", "data", "")
    assert images_of(scene, without=["person"])["maps/a.png"].standing == "likely"
    decisions_file(scene.parent).write_text("damaged")
    assert images_of(scene, without=["person"])["maps/a.png"].standing == "likely"


def test_steps_are_taken_back(scene: Path):
    """The newest first: a changed word is as it was, a new one is gone; then nothing is left."""
    home = scene.parent
    assert take_back_step(home) is None
    record_decision(home, "a.png", "data", "first")
    record_decisions(home, ["a.png", "b.png"], "srgb_rec709_scene", "second")
    assert record_decision(home, "never.png", "unknown", "") is None, "no word, so no step"
    step = take_back_step(home)
    assert step is not None
    assert [image for image, _ in step.after] == ["a.png", "b.png"]
    left = read_decisions(home)
    assert {image: d.because for image, d in left.items()} == {"a.png": "first"}
    assert take_back_step(home) is not None
    assert read_decisions(home) == {}
    assert take_back_step(home) is None


def test_a_step_that_was_overtaken_is_not_taken_back(scene: Path):
    home = scene.parent
    record_decision(home, "a.png", "data", "mine")
    file = decisions_file(home)
    file.write_text(file.read_text().replace('"because": "mine"', '"because": "theirs"', 1))
    before = file.read_bytes()
    with pytest.raises(RefusedError, match=r"a\.png was changed since"):
        take_back_step(home)
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    "steps", ["[7]", "[{}]", '[{"before": {}, "after": {"a": {"b": "c"}}}]', "7"]
)
def test_damaged_steps(steps: str, scene: Path):
    home = scene.parent
    record_decision(home, "a.png", "data", "")
    file = decisions_file(home)
    document = json.loads(file.read_text())
    document["steps"] = json.loads(steps)
    file.write_text(json.dumps(document))
    with pytest.raises(InputError, match="Cannot read the steps in"):
        take_back_step(home)


def test_a_user_without_a_name(monkeypatch: pytest.MonkeyPatch):
    """As in a container whose user stands in no list: the word is kept all the same."""
    for name in ("LOGNAME", "USER", "LNAME", "USERNAME"):
        monkeypatch.delenv(name, raising=False)
    pwd = pytest.importorskip("pwd")

    def none(_: int) -> None:
        raise KeyError("uid not found")

    monkeypatch.setattr(pwd, "getpwuid", none)
    assert user_name() == ""
