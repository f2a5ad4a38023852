"""The desk on a scene whose state folder is hostile: each address answers, in escaped words."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from tests.desk.windows import Window
from tests.hostile.states import STATES, scene
from tests.hostile.test_hostile import shut, world

from primecoat import workflow
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked

__all__ = ["shut", "world"]

pytestmark = pytest.mark.skipif(os.name == "nt", reason="written for systems with links and '/'")

READ = ("api/scene", "api/images", "api/journal", "api/proof")
"""Addresses that read the state folder, or what was read of it."""


def told(answer: Any) -> str:
    """Return what an answer says, if it is one that a page can show as it is."""
    text = json.dumps(answer.json(), ensure_ascii=False)
    assert answer.status_code in {200, 400, 404, 409, 422}, text
    assert text.isprintable(), "what a hostile file holds is shown escaped"
    return text


def acted(window: Window, verb: str, *words: str | None) -> str:
    """Do at the desk what a verb does, on the state that there is."""
    said = told(window.send("api/survey"))
    now = window.desk.session.state
    bodies: dict[str, dict[str, Any]] = {
        "undo": {"version": now.version},
        "recover": {"back": "--back" in words},
        "decide": {
            "version": now.version,
            "ids": [row.id for row in now.rows],
            "reading": "data",
            "because": "",
        },
    }
    return said + (told(window.send(f"api/{verb}", bodies[verb])) if verb in bodies else "")


@pytest.mark.usefixtures("shut")
def test_every_address_answers(world: Path, tmp_path: Path) -> None:
    """The folder came after the desk was opened; no answer is a failure of ours, and none waits.

    What is refused is refused in the words that the verb has.
    """
    target, state = scene(world), world / ".primecoat"
    with Window(build_desk(Asked(target=target), workflow.survey(target, workers=1))) as window:
        for number, (name, case) in enumerate(STATES.items()):
            made = tmp_path / str(number) / "b"
            made.mkdir(parents=True)
            case.make(made)
            state.unlink() if state.is_symlink() else shutil.rmtree(state)
            (made / ".primecoat").rename(state)
            answers = [told(window.ask(path)) for path in READ]
            verb, _, *words = case.command
            answers.append(acted(window, str(verb), *words))
            expected = not case.code or any(all(w in a for w in case.words) for a in answers)
            assert expected, (name, answers)
