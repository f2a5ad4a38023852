"""A file changed outside is never written over, and the refusal says in what it differs."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import bakes, execute, journal
from primecoat.apply.difference import Earlier, difference
from primecoat.apply.earlier import earlier
from primecoat.apply.verify import moved
from primecoat.bake.store import sweep as store_sweep
from primecoat.errors import RefusedError
from primecoat.files import Identity

NOON, LATER = 1_000_000_800, 1_000_000_860
"""Seconds of Unix time: 2001-09-09 02:00:00 and 02:01:00 UTC, by date(1)."""


def short(data: bytes) -> str:
    """Return what of a hash is shown; by hashlib itself."""
    return hashlib.sha256(data).hexdigest()[:12]


def refusal(act: Callable[[], object]) -> str:
    """Return what an act is refused with."""
    with pytest.raises(RefusedError) as raised:
        act()
    return raised.value.message


def changed(path: Path, data: bytes) -> tuple[bytes, bytes]:
    """Save other bytes under a name, at a known time; return the old and the new ones."""
    old = path.read_bytes()
    path.unlink()
    path.write_bytes(data)
    os.utime(path, (LATER, LATER))
    return old, data


def test_a_picture_changed_since_the_plan(tmp_path: Path) -> None:
    """Size, time and hash, now and then: the latter from the measures kept by the survey."""
    s.pictures(tmp_path, "rough.png")
    rough = tmp_path / "rough.png"
    os.utime(rough, (NOON, NOON))
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("rough.png", "metal")))
    old, new = changed(rough, s.png(8) + b"more")
    refused(lambda: workflow.apply(made), tmp_path, "changed since")
    assert refusal(lambda: workflow.apply(made)) == (
        f"{rough} has changed since the plan was made ("
        f"now {len(new)} bytes of 2001-09-09 02:01:00 UTC, hash {short(new)}; "
        f"then {len(old)} bytes of 2001-09-09 02:00:00 UTC, hash {short(old)}); "
        "nothing was changed."
    )


def test_without_measures_the_hash_is_told(tmp_path: Path) -> None:
    """Nothing is made up where nothing was kept, or what was kept is of another state."""
    s.pictures(tmp_path, "rough.png")
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("rough.png", "metal")))
    old, new = changed(tmp_path / "rough.png", s.png(8))
    words = f"hash {short(new)}; then hash {short(old)}); nothing was changed."
    s.plan(tmp_path / "tea.gltf")  # a later survey keeps the later state
    assert refusal(lambda: workflow.apply(made)).endswith(words)
    for kept in tmp_path.glob(".primecoat/measures*"):
        kept.unlink()
    assert refusal(lambda: workflow.apply(made)).endswith(words)


def test_a_scene_changed_since_the_plan(new_world: NewWorld) -> None:
    """Whether the places that the plan would change still are what it found is told too."""
    world = new_world("declare")
    scene = world.plan.target
    text = scene.read_text()
    scene.write_text(text + ",,,,,\n")
    refused(lambda: workflow.apply(world.plan), world.folder, "that the plan changes are as they")
    scene.write_text(text.replace("rough.png,a,roughness,r,", f"rough.png,a,roughness,r,{s.SRGB}"))
    refused(lambda: workflow.apply(world.plan), world.folder, rf"In row 4/space .* '{s.SRGB}'")


def test_lines_of_a_scene_that_was_once_replaced(new_world: NewWorld) -> None:
    """Bytes that an earlier run kept are compared by line."""
    world = new_world("declare in place")
    scene = world.plan.target
    workflow.apply(world.plan)
    workflow.undo(scene)
    scene.write_text(scene.read_text().replace("tray.<UDIM>.png,b", "tray.<UDIM>.png,\x1bc"))
    said = refusal(lambda: workflow.apply(world.plan))
    assert "; line 3 was 'tray.<UDIM>.png,b," in said
    assert r"and is 'tray.<UDIM>.png,\x1bc," in said
    (kept,) = world.folder.glob(".primecoat/before/*")
    kept.write_bytes(b"damaged")
    assert "line 3" not in refusal(lambda: workflow.apply(world.plan))


@pytest.mark.parametrize("kind", ["declare", "declare in place"])
def test_lines_of_a_scene_changed_since_it_was_written(new_world: NewWorld, kind: str) -> None:
    """What was written is made again from the original, and compared by line."""
    world = new_world(kind)
    workflow.apply(world.plan)
    scene = world.folder / world.plan.operations[-1].target
    text = scene.read_text()
    lines = text.splitlines()
    scene.write_text(text.replace(lines[1], "bowl.png,mine,base_color,rgb,,"))
    refused(lambda: workflow.undo(world.plan.target), world.folder, "left alone")
    said = refusal(lambda: workflow.undo(world.plan.target))
    assert f"; then {len(text)} bytes of 2" in said
    assert f"; line 2 was '{lines[1]}' and is 'bowl.png,mine,base_color,rgb,,')" in said


def test_without_the_original_no_lines_are_told(new_world: NewWorld) -> None:
    """If what it was made of changed as well, size, time and hash have to do."""
    world = new_world("declare")
    workflow.apply(world.plan)
    scene, old = world.folder / "tea.primed.csv", world.plan.target
    text = scene.read_text()
    scene.write_text(text + ",,,,,\n")
    for spoil in (lambda: old.write_text("path,slot\n"), old.unlink):
        spoil()
        found = earlier(world.folder, world.folder, scene, world.plan.operations[-1].target_sha256)  # type: ignore[union-attr]
        assert (found.data, found.size) == (None, len(text))
        assert found.modified_ns > 0


def test_a_damaged_journal_tells_nothing_of_earlier(new_world: NewWorld) -> None:
    """The refusal of a changed file does not fail over a journal that cannot be read."""
    world = new_world("declare")
    workflow.apply(world.plan)
    (world.folder / ".primecoat" / "journal.jsonl").write_text("{}\n{}\n")
    found = earlier(world.folder, world.folder, world.folder / "tea.primed.csv", "00")
    assert found == Earlier(sha256="00")


def test_a_picture_changed_since_it_was_written(tmp_path: Path) -> None:
    """Of a picture size and time are told, as the journal has them."""
    s.pictures(tmp_path, "rough.png")
    os.utime(tmp_path / "rough.png", (NOON, NOON))
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("rough.png", "metal")))
    workflow.apply(made)
    target = tmp_path / "rough_data.png"
    old, new = changed(target, s.png(8) + b"more")
    assert refusal(lambda: workflow.undo(made.target)) == (
        f"{target} has changed since primecoat wrote it ("
        f"now {len(new)} bytes of 2001-09-09 02:01:00 UTC, hash {short(new)}; "
        f"then {len(old)} bytes of 2001-09-09 02:00:00 UTC, hash {short(old)}); "
        "it was left alone."
    )


def test_a_file_that_became_something_else(new_world: NewWorld) -> None:
    """A link and a folder under the name are told as such, and left."""
    world = new_world("tag")
    workflow.apply(world.plan)
    scene = world.folder / "tea.primed.gltf"
    mine = scene.rename(world.folder.parent / "mine.gltf")
    scene.symlink_to(mine)
    assert f"(now a link to {mine}; then " in refusal(lambda: workflow.undo(world.plan.target))
    assert scene.is_symlink()
    scene.unlink()
    scene.mkdir()
    said = refusal(lambda: workflow.undo(world.plan.target))
    assert "(now another kind of file; then " in said
    scene.rmdir()
    assert difference(scene, Earlier(sha256="ab" * 32)) == "now gone; then hash abababababab"


@pytest.mark.parametrize(
    ("then", "now", "told"),
    [
        ("a\nb\n", "a\nb\nc\n", "line 3 was none and is 'c'"),
        ("a\nb\nc\n", "a\nc\n", "line 2 was 'b' and is none"),
        ("a\nb\nc\nd\n", "a\nx\ny\nd\n", "lines 2 to 3 differ, the first was 'b' and is 'x'"),
        ("a\n", "a\r\n", "only line ends differ"),
        ("a\n", "a\0\n", ""),
        ("a\n", "b\u202ec\n", r"line 1 was 'a' and is 'b\u202ec'"),
        (
            '{"images": [' + "1" * 90 + "7, 8]}",
            '{"images": [' + "1" * 90 + '5, 8], "name": "' + "z" * 90 + '"}',
            "line 1 was '…1111111111117, 8]}' and is '…1111111111115, 8], \"name\": \"zzzzz"
            + "z" * 15
            + "…'",
        ),
    ],
)
def test_lines_are_told_from_where_they_differ(
    tmp_path: Path, then: str, now: str, told: str
) -> None:
    """Counted as an editor counts them; a long line is cut to what differs; no text, no lines."""
    path = tmp_path / "tea.gltf"
    path.write_bytes(now.encode())
    said = difference(path, Earlier(sha256="00" * 32, data=then.encode()))
    end = f"then hash 000000000000; {told}" if told else "then hash 000000000000"
    assert said.endswith(end)


def test_in_what_two_looks_differ() -> None:
    """Another file, another size, or only another time."""
    seen = Identity(device=1, inode=2, size=30, modified_ns=4)
    assert moved(seen, replace(seen, inode=3)) == "another file has its name"
    assert moved(seen, replace(seen, size=31)) == "it had 30 bytes and has 31"
    assert moved(seen, replace(seen, modified_ns=5)) == "it was written anew"


def test_a_picture_saved_while_others_are_baked(
    new_world: NewWorld, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is noticed before anything of the scene is touched."""
    world = new_world("bake")
    scene = world.plan.target
    before, text = s.content(world.folder), scene.read_bytes()

    def save_meanwhile(store: Path) -> None:
        store_sweep(store)
        scene.write_bytes(text + b",,,,,\n")

    monkeypatch.setattr(bakes, "sweep", save_meanwhile)
    size = len(text)
    told = rf"tea\.csv changed while pictures were baked \(it had {size} bytes and has {size + 6}\)"
    with pytest.raises(RefusedError, match=told):
        workflow.apply(world.plan)
    now = s.content(world.folder)
    assert {**now, "tea.csv": before["tea.csv"]} == before


@pytest.mark.parametrize("pictures", [0, 1])
def test_a_picture_inside_a_scene_saved_meanwhile(
    new_world: NewWorld, pictures: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A picture in a scene that was saved after the check is not written under the old name."""
    world = new_world("tag embedded")
    append, scene = journal.append, world.plan.target
    inside = [(s.png(3), "base_color")] * pictures
    saved = s.glb(world.folder.parent / "other.glb", *inside).read_bytes()

    def save_meanwhile(*arguments: Any, **facts: Any) -> None:
        append(*arguments, **facts)
        scene.write_bytes(saved)

    monkeypatch.setattr(journal, "append", save_meanwhile)
    execute._read_scene.cache_clear()
    with pytest.raises(RefusedError, match=r"The picture at .* in tea\.glb has changed"):
        workflow.apply(world.plan)
    monkeypatch.undo()
    assert scene.read_bytes() == saved
    workflow.recover(scene, back=True)
    assert s.content(world.folder) == {"tea.glb": saved}
