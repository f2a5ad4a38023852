from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.plan import small as s

from primecoat import workflow
from primecoat.errors import UseError


def test_two_sources_for_one_name_are_found(tmp_path: Path) -> None:
    """Two pictures whose baked forms would have one name: PC407 names both, no name twice."""
    s.pictures(tmp_path, "wall.png", "wall.tif", "floor.png")
    rows = [f"{n},a,base_color,rgb,{s.SRGB}," for n in ("wall.png", "wall.tif", "floor.png")]
    made = s.plan(s.sheet(tmp_path / "tea.csv", *rows), "bake")
    assert (s.codes(made), s.held(made)) == (["PC407"], ["wall.tif"])
    assert "wall.png" in made.findings[0].message
    assert "wall.tif" in made.findings[0].message
    assert s.targets(made) == [f"floor_{s.AP1}.exr", f"wall_{s.AP1}.exr", "tea.primed.csv"]


def test_new_names_that_differ_only_in_case_collide(tmp_path: Path) -> None:
    """Two new names that another system takes for one are a collision here too."""
    s.pictures(tmp_path, "Wall.png", "wall.tif")
    rows = [f"{n},a,base_color,rgb,{s.SRGB}," for n in ("Wall.png", "wall.tif")]
    made = s.plan(s.sheet(tmp_path / "tea.csv", *rows), "bake")
    assert (s.codes(made), s.held(made)) == (["PC407"], ["wall.tif"])


@pytest.mark.parametrize("in_place", [False, True])
@pytest.mark.parametrize("kind", ["file", "folder", "dangling link"])
def test_a_name_taken_by_something_else_is_found(tmp_path: Path, kind: str, in_place: bool) -> None:
    """Whatever stands under the wanted name stays, and the image is held with PC407."""
    s.pictures(tmp_path, "bowl.png")
    taken = tmp_path / f"bowl_{s.SRGB}.png"
    if kind == "file":
        taken.write_bytes(b"another picture")
    elif kind == "folder":
        taken.mkdir()
    else:
        taken.symlink_to("nowhere.png")
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color")), in_place=in_place)
    assert (s.codes(made), s.held(made), made.operations) == (["PC407"], ["bowl.png"], ())


@pytest.mark.parametrize("in_place", [False, True])
def test_the_same_bytes_under_the_wanted_name_are_used(tmp_path: Path, in_place: bool) -> None:
    """A second name that is there already needs no operation, and the scene uses it."""
    s.pictures(tmp_path, "bowl.png")
    (tmp_path / f"bowl_{s.SRGB}.png").write_bytes(s.png(0))
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color")), in_place=in_place)
    assert [o[0] for o in s.told(made.operations)] == ["write_scene"]
    workflow.apply(made)
    scene = tmp_path / ("tea.gltf" if in_place else "tea.primed.gltf")
    assert s.uris(scene) == [f"bowl_{s.SRGB}.png"]
    assert (tmp_path / "bowl.png").read_bytes() == s.png(0)


@pytest.mark.parametrize("kind", ["file", "folder", "link"])
def test_a_primed_scene_that_is_not_ours_is_left_alone(tmp_path: Path, kind: str) -> None:
    """A file, folder or link under the name of the new scene is a finding; it is not replaced."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
    taken = tmp_path / "tea.primed.gltf"
    if kind == "file":
        taken.write_bytes(b"{}")
    elif kind == "folder":
        taken.mkdir()
    else:
        taken.symlink_to("tea.gltf")
    made = s.plan(scene)
    assert s.codes(made) == ["PC407"]
    assert [kind for kind, _, _ in s.told(made.operations)] == ["link_image"]


def test_a_name_that_would_be_too_long_is_held(tmp_path: Path) -> None:
    """Names that no file system takes are found before anything is done, in bytes."""
    names = ["b" * 240 + ".png", "ä" * 118 + ".png", "b" * 230 + ".png"]
    s.pictures(tmp_path, *names)
    made = s.plan(s.gltf(tmp_path / "tea.gltf", *((s.spelled(n), "base_color") for n in names)))
    assert sorted(s.held(made)) == sorted(names[:2])
    assert len(workflow.apply(made)) == 2


_PLAN_AND_PRINT = """
import os, sys
from pathlib import Path
from tests.plan import small as s
s.plan(Path(sys.argv[1]))  # everything is imported while it can be read
if os.geteuid() == 0:  # the superuser may write anywhere: become somebody
    os.setgid(65534)
    os.setuid(65534)
for in_place in (False, True):
    made = s.plan(Path(sys.argv[1]), in_place=in_place)
    print(len(made.operations), s.codes(made), len(made.held) > 0)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="rights work otherwise there")
@pytest.mark.parametrize("locked", ["tex", "."])
def test_a_folder_without_rights_is_found_before_anything_is_done(
    tmp_path: Path, locked: str
) -> None:
    """PC409 for a folder that cannot be written: of the images, or of the scene."""
    s.pictures(tmp_path, "tex/bowl.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("tex/bowl.png", "base_color"))
    (tmp_path / "tex").chmod(0o777)
    lines = _as_somebody_without_rights(scene, tmp_path / locked)
    assert "PC409" in lines[0]
    assert lines[0].endswith("True")
    if locked == ".":  # the scene cannot follow, so no image may get another name
        assert lines[1].startswith("0 ")


def _as_somebody_without_rights(scene: Path, locked: Path) -> list[str]:
    """Plan for a scene, in a process of its own, as a person who may not write in a folder."""
    opened = [folder for folder in scene.parents if folder.stat().st_uid == os.geteuid()]
    for folder in opened:  # left so: other processes of this run may be at work in them
        folder.chmod(folder.stat().st_mode | 0o011)
    scene.parent.chmod(0o755)
    locked.chmod(0o555)
    try:
        run = subprocess.run(
            [sys.executable, "-c", _PLAN_AND_PRINT, str(scene)],
            capture_output=True,
            text=True,
            check=False,
            cwd=Path(__file__).parents[2],
        )
    finally:
        locked.chmod(0o755)
    assert run.returncode == 0, run.stderr
    return run.stdout.splitlines()


def test_images_outside_the_first_root_are_held(tmp_path: Path) -> None:
    """A plan writes below its root only; a library that is merely readable keeps its names."""
    s.pictures(tmp_path, "library/wood.png", "scene/bowl.png")
    scene = s.gltf(
        tmp_path / "scene" / "tea.gltf",
        ("../library/wood.png", "base_color"),
        ("bowl.png", "base_color"),
    )
    apart = s.plan(scene, roots=[tmp_path / "scene", tmp_path / "library"])
    assert s.targets(apart) == [f"bowl_{s.SRGB}.png", "tea.primed.gltf"]
    assert len(apart.held) == 1
    assert "--root" in apart.held[0].remedy
    whole = s.plan(scene, roots=[tmp_path])
    assert (len(whole.operations), whole.held) == (3, ())
    with pytest.raises(UseError, match="first"):
        s.plan(scene, roots=[tmp_path / "library", tmp_path / "scene"])


def test_a_folder_that_leads_out_by_a_link_is_held(tmp_path: Path) -> None:
    """A folder inside the root that is a link to one outside is not written to."""
    s.pictures(tmp_path, "library/wood.png")
    (tmp_path / "scene").mkdir()
    (tmp_path / "scene" / "tex").symlink_to("../library", target_is_directory=True)
    scene = s.gltf(tmp_path / "scene" / "tea.gltf", ("tex/wood.png", "base_color"))
    made = s.plan(scene, roots=[tmp_path / "scene", tmp_path / "library"])
    assert (made.operations, s.held(made)) == ((), ["tex/wood.png"])
