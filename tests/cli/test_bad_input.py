"""Bad input: one clear line or a finding, never a traceback, and nothing is written."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.cli.terminal import Outcome, Terminal, snapshot
from tests.reading.worlds import sheet
from tests.scenes import builders as b

GARBAGE = bytes(range(256)) * 8
Make = Callable[[Path], Path]
"""Writes the bad input into a folder and returns the target."""


def file(name: str, data: bytes) -> Make:
    def make(folder: Path) -> Path:
        (folder / name).write_bytes(data)
        return folder / name

    return make


def scene_with(uri: str, **files: bytes) -> Make:
    def make(folder: Path) -> Path:
        for name, data in files.items():
            (folder / f"{name}.png").write_bytes(data)
        return b.write_gltf(folder / "s.gltf", b.gltf([{"uri": uri}]))

    return make


def linked(target: str, uri: str = "a.png") -> Make:
    def make(folder: Path) -> Path:
        (folder / "a.png").symlink_to(target)
        return b.write_gltf(folder / "s.gltf", b.gltf([{"uri": uri}]))

    return make


def looped_target(folder: Path) -> Path:
    (folder / "s.gltf").symlink_to("s.gltf")
    return folder / "s.gltf"


def folder_for_picture(folder: Path) -> Path:
    (folder / "a.png").mkdir()
    return b.write_gltf(folder / "s.gltf", b.gltf([{"uri": "a.png"}]))


DEEP = b'{"asset": {"version": "2.0"}, "extras": ' + b"[" * 300_000 + b"]" * 300_000 + b"}"

REFUSED: dict[str, tuple[Make, str]] = {
    "missing scene": (lambda folder: folder / "gone.gltf", "gone.gltf"),
    "empty gltf": (file("s.gltf", b""), "s.gltf"),
    "empty glb": (file("s.glb", b""), "s.glb"),
    "empty csv": (file("s.csv", b""), "s.csv"),
    "garbage gltf": (file("s.gltf", GARBAGE), "s.gltf"),
    "garbage glb": (file("s.glb", GARBAGE), "s.glb"),
    "garbage csv": (file("s.csv", GARBAGE), "s.csv"),
    "not JSON": (file("s.gltf", b"this is not JSON"), "s.gltf"),
    "cut JSON": (file("s.gltf", b'{"asset": {"version": "2'), "s.gltf"),
    "JSON but no scene": (file("s.gltf", b'{"a": 1}'), "s.gltf"),
    "deep JSON": (file("s.gltf", DEEP), "s.gltf"),
    "cut glb": (file("s.glb", b.glb_with_images(b.png())[:100]), "s.glb"),
    "csv of other columns": (file("s.csv", b"a,b\n1,2\n"), "s.csv"),
    "a picture": (file("a.png", b.png()), "a.png"),
    "no known ending": (file("s.obj", b"v 0 0 0"), "s.obj"),
    "a link to itself": (looped_target, "s.gltf"),
}
"""Targets that cannot be read at all: exit 2."""

FOUND: dict[str, tuple[Make, str, str]] = {
    "picture missing": (scene_with("a.png"), "PC401", "a.png"),
    "picture empty": (scene_with("a.png", a=b""), "PC302", "a.png"),
    "picture cut": (scene_with("a.png", a=b.png()[:70]), "PC302", "a.png"),
    "picture cut in its header": (scene_with("a.png", a=b.png()[:20]), "PC302", "a.png"),
    "picture is garbage": (scene_with("a.png", a=GARBAGE), "PC302", "a.png"),
    "picture is text": (scene_with("a.png", a=b"hello"), "PC302", "a.png"),
    "picture is a folder": (folder_for_picture, "PC401", "a.png"),
    "reference in a circle": (linked("a.png"), "PC401", "a.png"),
    "link to nothing": (linked("gone.png"), "PC401", "a.png"),
    "link outside the root": (linked("../../outside/x.png"), "PC403", "a.png"),
    "outside the root": (scene_with("../../outside/x.png"), "PC403", "x.png"),
    "absolute and outside": (scene_with("/etc/hostname"), "PC403", "hostname"),
    "address": (scene_with("https://example.org/a.png"), "PC404", "example.org"),
    "empty reference": (scene_with(""), "PC401", ""),
    "half a character": (scene_with("\ud800/a.png"), "PC401", "a.png"),
    "picture in a scene is garbage": (
        file("s.glb", b.glb_with_images(GARBAGE)),
        "PC302",
        "s.glb#images/0",
    ),
    "picture in a scene is cut off": (
        file("s.glb", b.glb_with_images(b.png())[:-40]),
        "PC405",
        "s.glb",
    ),
    "row of an unknown slot": (
        lambda folder: sheet(folder, "a.png,x,colour,,,"),
        "PC405",
        "s.csv",
    ),
}
"""Targets that can be read though something in them cannot: a finding, exit 1."""


@pytest.fixture
def world(tmp_path: Path) -> Path:
    """A folder for the target, with a picture outside that must never be opened."""
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside" / "x.png").write_bytes(b.png())
    folder = tmp_path / "a" / "scene"
    folder.mkdir(parents=True)
    return folder


def unharmed(before: dict[str, Any], after: dict[str, Any]) -> None:
    """Hold that nothing was written but the cache of measures."""
    new = {key for key in after.keys() - before.keys() if not key.endswith(".primecoat")}
    assert {key.rpartition("/")[2] for key in new} <= {"measures.jsonl"}
    assert {key: value for key, value in after.items() if key in before} == before


def no_traceback(outcome: Outcome) -> None:
    assert "Traceback" not in outcome.out + outcome.err
    assert "fault of primecoat" not in outcome.err


@pytest.mark.parametrize("verb", ["survey", "gate", "plan", "report", "sheet", "decide"])
@pytest.mark.parametrize("case", REFUSED)
def test_refused(case: str, verb: str, world: Path, terminal: Terminal):
    """A target that cannot be read: exit 2, one line with the file's name, nothing written."""
    make, name = REFUSED[case]
    target = make(world)
    before = snapshot(world.parent.parent)
    more: dict[str, list[str | Path]] = {
        "plan": ["--out", world / "out.json"],
        "report": ["--out", world / "out.html"],
        "sheet": ["--out", world / "out.csv"],
        "decide": ["a.png", "data"],
    }
    outcome = terminal(verb, target, *more.get(verb, []))
    no_traceback(outcome)
    assert (outcome.code, outcome.out) == (2, "")
    assert name in outcome.line
    assert outcome.line.endswith(".")
    assert len(outcome.line) < 500
    assert snapshot(world.parent.parent) == before


@pytest.mark.parametrize("verb", ["survey", "gate"])
@pytest.mark.parametrize("case", FOUND)
def test_found(case: str, verb: str, world: Path, terminal: Terminal):
    """Trouble inside a target: exit 1 and a finding that names it; files stay as they are."""
    make, code, name = FOUND[case]
    target = make(world)
    before = snapshot(world.parent.parent)
    outcome = terminal(verb, target, "--json")
    no_traceback(outcome)
    assert (outcome.code, outcome.err) == (1, "")
    found = [f for f in outcome.document["findings"] if f["code"] == code]
    assert len(found) == 1
    assert name in found[0]["where"]
    assert found[0]["message"]
    assert found[0]["remedy"]
    assert "\n" not in found[0]["message"]
    unharmed(before, snapshot(world.parent.parent))


@pytest.mark.parametrize("case", FOUND)
def test_found_in_a_folder(case: str, world: Path, terminal: Terminal):
    """The same trouble met while surveying the whole folder is a finding too, and as text."""
    make, code, _ = FOUND[case]
    make(world)
    outcome = terminal("survey", world, "--json")
    no_traceback(outcome)
    assert outcome.code == 1
    assert code in [f["code"] for f in outcome.document["findings"]]
    text = terminal("survey", world)
    no_traceback(text)
    assert (text.code, text.err) == (1, "")
    assert code in text.out


@pytest.mark.parametrize("case", [c for c in REFUSED if c not in ("a picture", "no known ending")])
def test_refused_in_a_folder(case: str, world: Path, terminal: Terminal):
    """A scene that cannot be read does not stop the survey of its folder."""
    make, name = REFUSED[case]
    make(world)
    (world / "good.png").write_bytes(b.png())
    outcome = terminal("survey", world, "--json")
    no_traceback(outcome)
    assert "good.png" in [i["path"] for i in outcome.document["images"]]
    where = [f["where"] for f in outcome.document["findings"]]
    scene_like = case != "missing scene" and not name.endswith(".csv")
    assert (name in where, outcome.code) == (scene_like, int(scene_like))


def test_outside_names_the_missing_root(world: Path, terminal: Terminal):
    """The finding's remedy is a call that works: with the root it names, the picture is found."""
    target = scene_with("../../outside/x.png")(world)
    (found,) = terminal("survey", target, "--json").document["findings"]
    root = found["remedy"].split("--root ")[1].rstrip(".")
    mended = terminal("survey", target, "--json", "--root", world, "--root", root)
    assert (mended.code, mended.document["findings"]) == (0, [])


def test_control_signs_in_names(world: Path, terminal: Terminal):
    """Line breaks and signs that turn the writing round never reach the terminal."""
    for name in ("a\nb.png", "a\x1b[31mred.png", "gnp.\u202etxt.png"):
        (world / name).write_bytes(b"no picture")
    target = b.write_gltf(world / "s.gltf", b.gltf([{"uri": "gone\x1b[2J\u202e.png"}]))
    for target_and_form in ([world], [target], [world, "--json"]):
        outcome = terminal("survey", *target_and_form)
        no_traceback(outcome)
        assert outcome.code == 1
        assert "\x1b" not in outcome.out
        assert "\u202e" not in outcome.out


def test_damaged_decisions(scene: Path, terminal: Terminal):
    """A damaged decisions file stops every verb with its name; it is not overwritten."""
    path = scene.parent / ".primecoat" / "decisions.json"
    path.parent.mkdir()
    path.write_text("{")
    for verb, words in (("survey", []), ("decide", ["maps/cup.png", "data"])):
        outcome = terminal(verb, scene, *words)
        assert (outcome.code, outcome.out) == (2, "")
        assert "decisions.json" in outcome.line
    assert path.read_text() == "{"


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[]",
        b"{}",
        GARBAGE,
        b'{"document": "primecoat.plan/1"}',
        b'{"document": "primecoat.plan/2"}',
        b'{"document": "primecoat.survey/1"}',
    ],
)
def test_plans_that_are_none(content: bytes, world: Path, terminal: Terminal):
    """A file that is no plan of this version: exit 2, one line, nothing written."""
    path = world / "plan.json"
    path.write_bytes(content)
    before = snapshot(world)
    for verb in ("apply", "undo"):
        outcome = terminal(verb, path)
        no_traceback(outcome)
        assert (outcome.code, outcome.out) == (2, "")
        assert outcome.line
    assert snapshot(world) == before


# --- rights: root may do everything, so there the command runs as somebody else ---


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user can reach."""
    folder = Path(tempfile.mkdtemp(prefix="primecoat-test-"))
    folder.chmod(0o755)
    yield folder
    for path in folder.rglob("*"):
        if not path.is_symlink():
            path.chmod(0o755)
    shutil.rmtree(folder)


WITHOUT_RIGHTS = """
import contextlib, io, os, sys
from primecoat.cli.main import run
with contextlib.redirect_stdout(io.StringIO()):  # load everything while it may be read
    run(["survey", sys.argv[1], "--json"])
if os.geteuid() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
sys.exit(run(sys.argv[2:]))
"""
"""Runs a command as a user without root's rights. The first argument is a folder to warm up on."""


def as_somebody(warm: Path, *arguments: str | Path) -> Outcome:
    """Run the command line without root's rights."""
    (warm / "w.png").write_bytes(b.png())
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_RIGHTS, str(warm), *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return Outcome(done.returncode, done.stdout, done.stderr)


@pytest.mark.skipif(os.name == "nt", reason="Windows has rights of another kind")
def test_folder_without_rights(open_folder: Path, tmp_path: Path):
    """A folder that may not be listed: exit 2, one line with its name."""
    closed = open_folder / "closed"
    closed.mkdir()
    (closed / "a.png").write_bytes(b.png())
    closed.chmod(0)
    outcome = as_somebody(tmp_path, "survey", closed)
    no_traceback(outcome)
    assert (outcome.code, outcome.out) == (2, "")
    assert "closed" in outcome.line
    inside = as_somebody(tmp_path, "survey", closed / "s.gltf")
    assert (inside.code, inside.out) == (2, "")
    assert "closed" in inside.line


@pytest.mark.skipif(os.name == "nt", reason="Windows has rights of another kind")
def test_parts_without_rights(open_folder: Path, tmp_path: Path):
    """A sub-folder or a picture without rights is a finding; the rest is surveyed, also where
    nothing can be written.
    """
    for name in ("a.png", "secret.png", "closed/b.png"):
        path = open_folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b.png())
        path.chmod(0o644)
    (open_folder / "secret.png").chmod(0)
    (open_folder / "closed").chmod(0)
    outcome = as_somebody(tmp_path, "survey", open_folder, "--json")
    no_traceback(outcome)
    assert outcome.code == 1
    assert [i["path"] for i in outcome.document["images"]] == ["a.png", "secret.png"]
    assert {f["where"]: f["code"] for f in outcome.document["findings"]} == {
        "closed": "PC401",
        "secret.png": "PC302",
    }
    assert not (open_folder / ".primecoat").exists()


@pytest.mark.skipif(os.name == "nt", reason="Windows has rights of another kind")
def test_decide_without_rights(open_folder: Path, tmp_path: Path):
    """Where nothing can be written a decision is refused in one line, and nothing is left."""
    (open_folder / "a.png").write_bytes(b.png())
    (open_folder / "a.png").chmod(0o644)
    before = snapshot(open_folder)
    outcome = as_somebody(tmp_path, "decide", open_folder, "a.png", "data")
    no_traceback(outcome)
    assert (outcome.code, outcome.out) == (1, "")
    assert str(open_folder) in outcome.line
    assert snapshot(open_folder) == before


def test_documents_stay_valid_json(world: Path, terminal: Terminal):
    """Numbers that JSON does not have, in the scene, never come out in a document."""
    materials = [
        {"emissiveFactor": [float("nan"), float("inf"), 0]},
        {"emissiveFactor": [1e300] * 3},
    ]
    target = b.write_gltf(world / "s.gltf", b.gltf([], materials))
    outcome = terminal("survey", target, "--json")
    assert outcome.code == 1

    def refuse(constant: str) -> None:
        raise AssertionError(constant)

    document = json.loads(outcome.out, parse_constant=refuse)
    assert document["colours"] == []
    assert [f["code"] for f in document["findings"]] == ["PC405", "PC405"]
