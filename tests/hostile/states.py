"""State folders that came with a scene from anywhere, and hold what no run of ours writes."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.hostile.case import Case, Make
from tests.plan import small as s

DEEP = b"[" * 100_000
HOSTILE = "\u202eerutcip\n\x1b[2J"
"""Turns the direction of a line, begins another and clears a terminal."""

Line = dict[str, Any]


def state(name: str, data: bytes) -> Make:
    """Return the writer of a scene beside whose state folder holds a file."""

    def make(folder: Path) -> Path:
        path = folder / ".primecoat" / name
        path.parent.mkdir(parents=True)
        path.write_bytes(data)
        return scene(folder)

    return make


def scene(folder: Path) -> Path:
    """Write a scene of one picture."""
    s.pictures(folder, "cup.png")
    return s.gltf(folder / "s.gltf", ("cup.png", "base_color"))


def put(name: str, how: Callable[[Path, Path], object]) -> Make:
    """Return the writer of a scene in whose state folder something else has a file's name."""

    def make(folder: Path) -> Path:
        path = folder / ".primecoat" / name
        path.parent.mkdir(parents=True)
        how(path, folder.parent.parent / "outside" / "x.usda")
        return scene(folder)

    return make


def linked(path: Path, outside: Path) -> None:
    """Link to a file outside."""
    path.symlink_to(outside)


def in_the_way(path: Path, _: Path) -> None:
    """Make a folder where a file belongs."""
    path.mkdir()


def endless(path: Path, _: Path) -> None:
    """Make what never comes to an end if it is read."""
    os.mkfifo(path)


def large(path: Path, _: Path) -> None:
    """Write a file that claims a gigabyte, and takes no room."""
    with path.open("wb") as stream:
        stream.truncate(2**30)


def journal(*lines: Line, closed: bool = True) -> Make:
    """Return the writer of a scene with a journal of one run, which ended or was cut short."""
    begin: Line = {"state": "begin", "plan": "0", "root": ".", "target": "s.gltf"}
    entries = [begin | (lines[0] if lines else {}), *lines[1:]]
    entries += [{"state": "end"}] if closed else []
    text = "".join(json.dumps({"run": "1", **entry}) + "\n" for entry in entries)
    return state("journal.jsonl", text.encode())


def intent(after: str = "0", **changes: object) -> Line:
    """Return the line of a scene that was to be written over."""
    operation: Line = {
        "do": "write_scene", "source": "s.gltf", "target": "s.gltf", "source_sha256": "0",
        "target_sha256": "0", "replaces_sha256": "0", "edits": [],
    }  # fmt: skip
    return {"state": "intent", "n": 0, "after": after, "operation": operation | changes}


def replaced_from(before: str) -> Make:
    """Return the writer of a scene that, so the journal says, took the place of another."""

    def make(folder: Path) -> Path:
        now = hashlib.sha256(scene(folder).read_bytes()).hexdigest()
        target = journal({}, intent(now, target_sha256=now, replaces_sha256=before), DONE)(folder)
        (folder / ".primecoat" / "before").mkdir()
        linked(folder / ".primecoat" / "before" / "ab", folder.parent.parent / "outside" / "x.usda")
        return target

    return make


def decisions(**changes: object) -> Make:
    """Return the writer of a scene with one decision."""
    word = {"image": "cup.png", "reading": "data", "because": "", "by": "", "when": ""}
    text = json.dumps({"document": "primecoat.decisions/1", "decisions": [word | changes]})
    return state("decisions.json", text.encode())


def linked_state(folder: Path) -> Path:
    """Write a scene whose whole state folder lies outside."""
    linked(folder / ".primecoat", folder.parent.parent / "outside")
    return scene(folder)


def linked_plan(folder: Path) -> Path:
    """Write a scene whose run was cut short, and whose plan lies outside."""
    target = journal(closed=False)(folder)
    plans = folder / ".primecoat" / "plans"
    plans.mkdir()
    linked(plans / "0.json", folder.parent.parent / "outside" / "x.usda")
    return target


def verb(*words: str) -> tuple[str | None, ...]:
    """Return a command on the target."""
    return (words[0], None, *words[1:])


UNDO, RECOVER, BACK = verb("undo"), verb("recover"), verb("recover", "--back")
SURVEY, REPORT = verb("survey", "--json"), verb("report", "--out", "r.html")
DONE = {"state": "done", "n": 0, "device": 0, "inode": 0, "method": "write"}
NOT_ORDINARY, LINK = ("is no ordinary file",), ("is a link", "Remove it")

STATES = {
    f"{name} {what}": Case(make=make, words=words, code=2, command=command)
    for name, file, command in (
        ("journal", "journal.jsonl", UNDO),
        ("decisions", "decisions.json", SURVEY),
    )
    for what, make, words in (
        ("that is a link out", put(file, linked), LINK),
        ("without end", put(file, endless), NOT_ORDINARY),
        ("that is a folder", put(file, in_the_way), NOT_ORDINARY),
        ("of a gigabyte", put(file, large), ("more than the", "not read")),
        ("that is deep", state(file, DEEP + b"\n"), ("recursion",)),
        ("of NaN", state(file, b"NaN\n"), (file,)),
        ("that is no text", state(file, b"\xff\xfe\x00\n"), (file,)),
    )
} | {
    "state folder that is a link out": Case(
        make=linked_state, words=LINK, command=verb("decide", "cup.png", "data")
    ),
    "journal whose number is infinite": Case(
        make=journal({}, intent() | {"n": float("inf")}),
        words=("Line 2 of the journal", "infinity"),
        code=2,
        command=REPORT,
    ),
    "journal whose step has no target": Case(
        make=journal({}, {"state": "intent", "n": 0, "after": "0", "operation": {"do": "x"}}),
        words=("Line 2 of the journal", "target"),
        code=2,
        command=UNDO,
    ),
    "journal with a NUL in its root": Case(
        make=journal({"root": "a\0b"}), words=("Line 1 of the journal",), code=2, command=UNDO
    ),
    "journal of a time that no file has": Case(
        make=journal({}, intent(), DONE | {"modified_ns": 10**40}),
        words=("Line 3 of the journal", "no file has such"),
        code=2,
        command=UNDO,
    ),
    "journal with control characters": Case(
        make=journal({"target": HOSTILE}, intent(target=HOSTILE), DONE, {"state": HOSTILE}),
        words=("Line 4 of the journal", "\\u202e", "\\x1b"),
        code=2,
        command=UNDO,
    ),
    "journal whose plan lies outside": Case(
        make=journal({"plan": "../../../../outside/x"}, closed=False),
        words=("where the hash of a file belongs",),
        command=RECOVER,
    ),
    "journal whose original lies outside": Case(
        make=replaced_from("../../../../outside/x.png"),
        words=("where the hash of a file belongs",),
        command=UNDO,
    ),
    "journal whose original is a link out": Case(
        make=replaced_from("ab"), words=("kept original", "missing"), command=UNDO
    ),
    "journal that goes on outside": Case(
        make=journal({}, intent(source="../../outside/x.usda"), closed=False),
        words=("lies outside",),
        command=BACK,
    ),
    "journal of an operation that there is not": Case(
        make=journal({}, intent(do="launch"), DONE),
        words=("cannot be understood", "launch"),
        code=2,
        command=UNDO,
    ),
    "kept plan that is a link out": Case(make=linked_plan, words=LINK, code=2, command=RECOVER),
    "lock without end": Case(
        make=put("lock", endless), words=LINK, command=verb("decide", "cup.png", "data")
    ),
    "decisions of another schema": Case(
        make=state("decisions.json", b'{"document": "primecoat.decisions/99"}'),
        words=("is not a primecoat.decisions/1 document",),
        code=2,
    ),
    "decisions cut off": Case(
        make=state("decisions.json", b'{"document": "primecoat.decisions/1", "deci'),
        words=("not valid JSON",),
        code=2,
    ),
    "decision of a number": Case(make=decisions(because=7), words=("no text",), code=2),
    "decision with half a character": Case(
        make=decisions(because="\ud800"), words=("surrogates not allowed",), code=2
    ),
    "decision of a reading that there is not": Case(
        make=decisions(reading=HOSTILE), words=("does not exist", "\\u202e"), code=2
    ),
    "measures that are deep": Case(make=state("measures.jsonl", DEEP), words=("",), code=0),
    "measures of a gigabyte": Case(make=put("measures.jsonl", large), words=("",), code=0),
    "measures without end": Case(make=put("measures.jsonl", endless), words=("",), code=0),
    "measures that are a link out": Case(make=put("measures.jsonl", linked), words=("",), code=0),
    "measures of no file": Case(
        make=state("measures.jsonl", b'[6,"x",[1e999,NaN],{"sha256":[]}]\n[6]\n"\\ud800"\n'),
        words=("",),
        code=0,
    ),
}
"""By name. What only saves time is passed over; what a person said or did is refused by name."""
