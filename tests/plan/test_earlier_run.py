"""A new scene that an earlier run wrote is continued, or the plan says where to go on from."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from tests.plan import small as s

from primecoat import workflow
from primecoat.errors import RefusedError
from primecoat.files import STATE_FOLDER

ROWS = (
    f"bowl.png,bowl,base_color,rgb,{s.SRGB},",
    "rough.png,bowl,roughness,r,,",
)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """A sheet with a colour picture and a roughness map, in a folder with a space in its name."""
    folder = tmp_path / "tea set"
    folder.mkdir()
    s.pictures(folder, "bowl.png", "rough.png")
    return s.sheet(folder / "tea.csv", *ROWS)


def files(folder: Path) -> dict[str, bytes]:
    """Return all files but those of the state folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and STATE_FOLDER not in path.parts
    }


def new(scene: Path) -> Path:
    """Return the scene beside the old one."""
    return scene.with_name(f"{scene.stem}.primed{scene.suffix}")


@pytest.mark.parametrize(("first", "second"), [("bake", "tag"), ("bake", "declare")])
def test_a_bake_is_not_wiped_by_a_plan_from_the_original(
    scene: Path, first: str, second: str
) -> None:
    """Nothing is planned; the line names what to plan from and how to go back; both work."""
    workflow.apply(s.plan(scene, first))
    before = files(scene.parent)
    made = s.plan(scene, second)
    assert (made.operations, s.codes(made)) == ((), ["PC407"])
    [held] = [h for h in made.held if h.where == new(scene).name]
    assert "would drop" in held.why
    assert f"primecoat plan {shlex.quote(str(new(scene)))}." in held.remedy
    assert f"primecoat undo {shlex.quote(str(new(scene)))}." in held.remedy
    assert workflow.apply(made) == ()
    assert files(scene.parent) == before
    on = s.plan(new(scene), second)  # the first way that it names
    assert on.operations
    workflow.undo(new(scene))  # and the second
    assert s.targets(s.plan(scene, second))


def test_two_runs_are_taken_back_byte_for_byte(scene: Path) -> None:
    """The newer goes first; out of order is refused, and nothing moves."""
    start = files(scene.parent)
    workflow.apply(s.plan(scene, "bake"))
    workflow.apply(s.plan(new(scene), "tag"))
    baked_and_tagged = [row["path"] for row in s.cells(new(scene))]
    assert baked_and_tagged == [f"bowl_{s.AP1}.exr", "rough_data.png"]
    end = files(scene.parent)
    with pytest.raises(RefusedError, match="A later run changed") as refused:
        workflow.undo(scene)  # the old scene alone leads to the earlier run
    assert refused.value.remedy.endswith(f"primecoat undo {shlex.quote(str(new(scene)))}.")
    assert files(scene.parent) == end
    workflow.undo(new(scene))
    assert [row["path"] for row in s.cells(new(scene))] == [f"bowl_{s.AP1}.exr", "rough.png"]
    workflow.undo(new(scene))
    assert files(scene.parent) == start


def test_a_plan_that_keeps_all_and_adds_one_goes_on(scene: Path) -> None:
    """A row that joined the original later is no loss: the new scene gets it, the rest stays."""
    workflow.apply(s.plan(scene))
    s.pictures(scene.parent, "cup.png")
    s.sheet(scene, *ROWS, f"cup.png,cup,base_color,rgb,{s.SRGB},")
    made = s.plan(scene)
    assert s.targets(made) == [f"cup_{s.SRGB}.png", "tea.primed.csv"]
    workflow.apply(made)
    paths = [row["path"] for row in s.cells(new(scene))]
    assert paths == [f"bowl_{s.SRGB}.png", "rough_data.png", f"cup_{s.SRGB}.png"]


def test_a_run_taken_back_holds_nothing(scene: Path) -> None:
    """What no longer stands is no loss."""
    workflow.apply(s.plan(scene, "bake"))
    workflow.undo(scene)
    assert s.plan(scene).held == ()
