"""Advice names the target as a shell takes it, and works when it is pasted."""

from __future__ import annotations

import datetime
import json
import re
import shlex
import xml.etree.ElementTree as ET
from pathlib import Path

import PyOpenColorIO as ocio
import pytest
from tests.docs.pages import options, verbs
from tests.plan import small as s
from tests.scenes import builders as b

from primecoat.apply.journal import journal_file
from primecoat.cli.main import run
from primecoat.reading.asked import Again, Asked


@pytest.fixture
def scene(tmp_path: Path, monkeypatch) -> Path:
    """Return a sheet below the current folder, its name and its pictures' names with spaces."""
    monkeypatch.chdir(tmp_path)
    folder = Path("tea set")
    folder.mkdir()
    for name in ("my bowl.png", "rough.png", "thing.png"):
        (folder / name).write_bytes(b.png(3, "uint8"))
    return s.sheet(
        folder / "the tea.csv",
        "my bowl.png,bowl,base_color,rgb,,",
        "rough.png,bowl,roughness,r,,",
        ",cloth,base_color,,,0.5 0.4 0.3",
        "thing.png,,,,,",
    )


def commands(printed: str) -> list[list[str]]:
    """Return the commands that lines of advice give, as a shell splits them."""
    text = " ".join(printed.split())
    found = re.finditer(r"primecoat((?: (?:'[^']*'|[^\s';,]+))+)", text)
    return [shlex.split(one[1].rstrip(".")) for one in found]


def test_the_gates_advice_can_be_pasted(scene: Path, capsys):
    """Every command in it names the scene; each leads to a plan, and that to an open gate."""
    assert run(["gate", str(scene), "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    advice = {held["where"]: held["remedy"] for held in document["left"]}
    assert not [text for text in advice.values() if "TARGET" in text]
    [decide] = commands(advice["my bowl.png"].split("; then")[0])
    assert decide == ["decide", str(scene), "my bowl.png", s.SRGB]
    assert run(decide) == 0
    [declare] = commands(advice["the tea.csv#row 4"])
    assert declare[:2] == ["plan", str(scene)]
    run([word.replace("SPACE", "lin_rec709_scene") for word in declare])
    assert run(["apply", "plan.json"]) == 0
    assert run(["gate", str(scene), "--junit", "gate.xml"]) == 1
    capsys.readouterr()
    left = [f.text for f in ET.parse("gate.xml").getroot().iter("failure")]
    new = scene.with_name("the tea.primed.csv")
    named = [command for text in left for command in commands(text or "")]
    assert ["gate", str(new)] in named
    assert ["plan", str(new)] in named


def test_the_plans_advice_can_be_pasted(scene: Path, capsys):
    """What is only likely is held with a command that names the scene; the next step as well."""
    run(["plan", str(scene), "--out", "my plan.json"])
    printed = capsys.readouterr().out
    assert "TARGET" not in printed
    named = commands(printed)
    assert ["apply", "my plan.json"] in named
    assert shlex.quote(str(scene)) in printed
    assert run(["apply", "my plan.json"]) == 0
    assert ["undo", "my plan.json"] in commands(capsys.readouterr().out)


def test_a_second_undo_says_that_it_was_done_and_when(scene: Path, capsys):
    """Also from an older journal, which has no date; a name with no run is still told."""
    run(["plan", str(scene)])
    run(["apply", "plan.json"])
    assert run(["undo", str(scene)]) == 0
    capsys.readouterr()
    day = datetime.datetime.now(datetime.UTC).date().isoformat()
    for target in (scene, scene.parent, Path("plan.json")):
        assert run(["undo", str(target)]) == 2
        said = capsys.readouterr().err
        assert "nothing to take back" in said
        assert re.search(rf"was taken back already on ({day}|\d{{4}}-\d\d-\d\d)\. ", said)
    journal = journal_file(scene.parent)
    journal.write_text(re.sub(r'(undo-end"),"when":"[^"]*"', r"\1", journal.read_text()))
    assert run(["undo", str(scene)]) == 2
    assert "was taken back already. " in capsys.readouterr().err
    other = s.sheet(scene.with_name("other.csv"), "rough.png,x,roughness,r,,")
    assert run(["undo", str(other)]) == 2
    assert "Check the name." in capsys.readouterr().err


def test_a_config_is_written_into_a_folder_that_is_made(scene: Path, capsys):
    """OpenColorIO reads it there; a refusal leaves no folder behind, and a file is no folder."""
    assert run(["config", "write", "--out", "a/b/kiln.ocio"]) == 0
    ocio.Config.CreateFromFile("a/b/kiln.ocio").validate()
    (scene.parent / "bad.cube").write_text("LUT_3D_SIZE 2\n")
    assert run(["config", "write", "--out", "c/kiln.txt"]) == 2
    look = ["--old-look", str(scene.parent / "bad.cube"), "--from", "lin_rec709_scene"]
    assert run(["config", "write", "--out", "c/kiln.ocio", *look]) != 0
    assert not Path("c").exists()
    assert run(["config", "write", "--out", "plan.json/kiln.ocio"]) == 0
    Path("file").write_text("")
    capsys.readouterr()
    assert run(["config", "write", "--out", "file/kiln.ocio"]) == 2
    assert "cannot be made" in capsys.readouterr().err


def test_advice_asks_as_the_person_did(scene: Path, capsys):
    """What was given comes again in each command that takes it, so that it finds the same."""
    Path("our house.toml").write_text('to = "lin_rec2020_scene"\n')
    given = ["--root", ".", "--house", "our house.toml", "--from", "lin_rec709_scene"]
    assert run(["gate", str(scene), *given, "--json"]) == 1
    held = json.loads(capsys.readouterr().out)["left"]
    gate_says = [command for one in held for command in commands(one["remedy"])]
    run(["plan", str(scene), *given, "--to", "lin_ap0_scene", "--json"])
    held = json.loads(capsys.readouterr().out)["held"]
    plan_says = [command for one in held for command in commands(one["remedy"])]
    assert {command[0] for command in gate_says + plan_says} == {"decide", "plan"}
    for command in gate_says + plan_says:
        assert command[:2] == [command[0], str(scene)]
        wanted = given[:4] if command[0] == "decide" else given[:5]
        assert command[command.index("--root") :][:4] == wanted[:4]
        assert ("--from" in command) == (command[0] == "plan")
    [word] = [c for c in plan_says if "tea set/my bowl.png" in c]
    assert run(word) == 0, "the picture's path is one of this root"


def test_the_next_command_of_a_share_asks_as_it_did(scene: Path, capsys):
    given = ["--root", ".", "--from", "lin_rec709_scene", "--to", "lin_ap0_scene"]
    assert run(["survey", str(scene), *given, "--shard", "1/1"]) == 0
    [command] = commands(capsys.readouterr().out.splitlines()[-1])
    assert command == ["survey", str(scene), *given]
    run([*command, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert (found["from"], found["to"]) == ("lin_rec709_scene", "lin_ap0_scene")
    assert "tea set/my bowl.png" in [image["path"] for image in found["images"]]


@pytest.mark.parametrize("verb", ["survey", "plan", "gate", "decide", "undo", "recover"])
def test_advice_gives_each_verb_all_that_it_takes_and_no_more(verb: str):
    """By the program's own parser."""
    values = {
        "--root": "a b", "--house": "none", "--config": "c", "--from": "d", "--to": "e"
    }  # fmt: skip
    asked = Asked(
        roots=(Path("a b"),), house="none", config="c", from_space="d", to_space="e"
    )  # fmt: skip
    words = shlex.split(Again(target=Path("x"), asked=asked).command(verb))[3:]
    told = dict(zip(words[::2], words[1::2], strict=True))
    assert told == {key: values[key] for key in values if key in options(verbs()[verb])}
