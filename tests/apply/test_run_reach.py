"""A journal can come with a scene from anywhere: taking back reaches no further than was given."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.apply.refusals import refused
from tests.desk.windows import Window
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute
from primecoat.apply.earlier import earlier
from primecoat.apply.reach import own_reach
from primecoat.cli.main import run
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.files import sha256_of_bytes
from primecoat.plan.operations import WriteScene, as_document
from primecoat.plan.plan import Plan
from primecoat.scenes.resolve import default_roots

Act = Callable[..., object]


def works(folder: Path) -> tuple[Path, Path]:
    """Write a scene two folders below the root that it needs; return it and that root."""
    top = folder / "works"
    s.pictures(top, "maps/cup.png")
    (top / "shop" / "scenes").mkdir(parents=True)
    scene = s.gltf(top / "shop" / "scenes" / "tea.gltf", ("../../maps/cup.png", "base_color"))
    return scene, top


def applied(folder: Path) -> tuple[Path, Path, Plan]:
    """Apply a plan that was made with a root; return scene, root and plan."""
    scene, top = works(folder)
    made = s.plan(scene, roots=(top,))
    assert made.root == top
    assert len(workflow.apply(made)) == 2
    return scene, top, made


def cut_short(folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path, Plan]:
    """Begin such a run, and end it before the scene is written."""
    scene, top = works(folder)
    made = s.plan(scene, roots=(top,))
    with monkeypatch.context() as patched:
        patched.setattr(execute, "create_bytes", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            workflow.apply(made)
    return scene, top, made


def forge(home: Path, root: Path, victim: Path, theirs: bytes, *, ended: bool) -> None:
    """Write a journal that says a run below ``root`` wrote a file; before it stood ``theirs``."""
    state = home / ".primecoat"
    (state / "before").mkdir(parents=True)
    (state / "before" / sha256_of_bytes(theirs)).write_bytes(theirs)
    name = victim.relative_to(root).as_posix()
    written = WriteScene(
        source=name,
        target=name,
        source_sha256=sha256_of_bytes(theirs),
        target_sha256=sha256_of_bytes(victim.read_bytes()),
        replaces_sha256=sha256_of_bytes(theirs),
        edits=(),
    )
    up = "/".join([".."] * len(home.relative_to(root).parts))
    lines: list[tuple[str, dict[str, Any]]] = [
        ("begin", {"plan": "0", "root": up, "target": "tea.gltf"}),
        ("intent", {"n": 0, "after": written.target_sha256, "operation": as_document(written)}),
        ("done", {"n": 0, "device": 0, "inode": 0, "method": "write"}),
        ("end" if ended else "undo", {}),
    ]
    text = "".join(json.dumps({"run": "1", "state": state, **f}) + "\n" for state, f in lines)
    (state / "journal.jsonl").write_text(text, encoding="utf-8")


def test_a_root_that_was_given_is_given_again(tmp_path: Path) -> None:
    """Without it the refusal names the root and the option, and nothing is changed."""
    scene, top, _ = applied(tmp_path)
    for act in (
        lambda: workflow.undo(scene),
        lambda: workflow.undo(scene.parent),
        lambda: workflow.undo(scene, roots=(scene.parent,)),
    ):
        refused(act, top, rf"names {top} as a root .* agree to it: --root {top}\.")
    assert workflow.undo(scene, roots=(top,))
    assert not scene.with_name("tea.primed.gltf").exists()


def test_the_plan_that_a_person_names_says_its_roots(tmp_path: Path) -> None:
    """So what apply prints at its end takes everything back without a question."""
    _, top, made = applied(tmp_path)
    file = tmp_path / "plan.json"
    file.write_text(dumps(made.as_document({})), encoding="utf-8")
    before = {name: data for name, data in s.content(top).items() if s.SRGB in name}
    assert before
    assert run(["undo", str(file)]) == 0
    assert not any(s.SRGB in name for name in s.content(top))


@pytest.mark.parametrize("back", [False, True])
def test_what_was_cut_short_wants_its_root_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, back: bool
) -> None:
    scene, top, _ = cut_short(tmp_path, monkeypatch)
    refused(lambda: workflow.recover(scene, back=back), top, f"--root {top}")
    outcome = workflow.recover(scene, back=back, roots=(top,)).outcome
    assert outcome == ("taken back" if back else "finished")


def test_the_roots_of_the_house_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of conventions that a person names, by option or for all runs, gives roots as ever."""
    scene, top, made = applied(tmp_path)
    house = top / "primecoat.toml"
    house.write_text('roots = ["."]\n', encoding="utf-8")
    refused(lambda: workflow.undo(scene), top, "--root")
    assert workflow.undo(scene, house=house)
    workflow.apply(made)
    monkeypatch.setenv("PRIMECOAT_HOUSE", str(house))
    assert workflow.undo(scene)


def test_a_house_beside_the_scene_widens_nothing(tmp_path: Path) -> None:
    """One that is found speaks for its own folder alone, as for a survey."""
    scene, top, _ = applied(tmp_path)
    (scene.parent / "primecoat.toml").write_text('roots = ["../.."]\n', encoding="utf-8")
    before = s.content(top)
    assert run(["undo", str(scene)]) == 2
    assert s.content(top) == before


def test_a_root_that_is_not_there(tmp_path: Path) -> None:
    scene, _, _ = applied(tmp_path)
    with pytest.raises(UseError, match=r"There is no folder .*gone to be a root"):
        workflow.undo(scene, roots=(tmp_path / "gone",))


def test_a_scene_reaches_the_folder_above_its_own(tmp_path: Path) -> None:
    """As for its references, so that what was applied without a root is undone without one."""
    s.pictures(tmp_path / "tea", "maps/cup.png")
    (tmp_path / "tea" / "scenes").mkdir()
    scene = s.gltf(tmp_path / "tea" / "scenes" / "tea.gltf", ("../maps/cup.png", "base_color"))
    made = s.plan(scene)
    assert made.root == tmp_path / "tea" == own_reach(scene)
    workflow.apply(made)
    refused(lambda: workflow.undo(scene.parent), tmp_path, f"--root {made.root}")
    assert workflow.undo(scene)


def test_the_reach_is_that_of_a_survey() -> None:
    """Whatever a scene refers to, its default roots lie in what it reaches by itself."""
    for scene in (Path("/tea.gltf"), Path("/tea/tea.gltf"), Path("/a/tea/tea.gltf")):
        for references in ((), ("../x.png",), ("../../x.png", "../y.png"), ("/x.png",)):
            for root in default_roots(scene.parent, references):
                assert root.is_relative_to(own_reach(scene))


def test_a_journal_above_is_not_followed_unasked(tmp_path: Path) -> None:
    """A run over a folder is found from a scene deep in it, and taken back once that is agreed."""
    _, top = works(tmp_path)
    deep = top / "shop" / "shelf"
    s.pictures(deep, "cup.png")
    scene = s.gltf(deep / "cup.gltf", ("cup.png", "base_color"))
    workflow.apply(s.plan(top))
    before = s.times(top)
    refused(lambda: workflow.undo(scene), top, f"--root {top}")
    assert s.times(top) == before
    assert workflow.undo(scene, roots=(top,))


@pytest.mark.parametrize("act", [workflow.undo, workflow.recover])
def test_a_journal_from_elsewhere_replaces_nothing_above(tmp_path: Path, act: Act) -> None:
    """It knows the exact bytes of a scene three folders up, as of one that many have."""
    home = tmp_path / "downloads" / "set" / "tea"
    home.mkdir(parents=True)
    scene = s.gltf(home / "tea.gltf")
    mine = s.gltf(tmp_path / "mine.gltf")
    forge(home, tmp_path, mine, b"theirs", ended=act is workflow.undo)
    refused(lambda: act(scene), tmp_path, "take .primecoat out of")
    refused(lambda: act(home), tmp_path, "take .primecoat out of")


def test_a_kept_plan_from_elsewhere_opens_nothing_above(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its further roots are held to what was given as well."""
    s.pictures(tmp_path / "tea", "cup.png")
    scene = s.gltf(tmp_path / "tea" / "tea.gltf", ("cup.png", "base_color"))
    far = tmp_path.parent
    made = s.plan(scene, roots=(scene.parent, far))
    assert made.reach == (far,)
    with monkeypatch.context() as patched:
        patched.setattr(execute, "create_bytes", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            workflow.apply(made)
    refused(lambda: workflow.recover(scene), tmp_path, f"--root {far}")
    assert workflow.recover(scene, roots=(far,)).outcome == "finished"


def test_what_a_journal_says_of_files_above_is_not_looked_at(tmp_path: Path) -> None:
    """Neither to tell what changed, nor to see whether another scene still uses a picture."""
    home = tmp_path / "set" / "tea"
    home.mkdir(parents=True)
    mine = s.gltf(tmp_path / "mine.gltf")
    forge(home, tmp_path, mine, b"theirs", ended=True)
    found = earlier(home, home, mine, sha256_of_bytes(mine.read_bytes()))
    assert found.data is None


def test_the_desk_agreed_when_it_was_opened(tmp_path: Path) -> None:
    """Roots of a session hold for its undo; one that was opened without is told which is wanted."""
    scene, top, _ = applied(tmp_path)
    for asked in (Asked(target=scene), Asked(target=scene, roots=(top,))):
        with Window(build_desk(asked, asked.survey())) as window:
            if asked.roots:
                assert window.post("api/undo", version=1)["operations"]
            else:
                assert f"--root {top}" in window.refused("api/undo", 409, version=1)
    assert not scene.with_name("tea.primed.gltf").exists()
