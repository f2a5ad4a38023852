"""A folder as the target: all its pictures, all its scenes, tiles put together."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat import jobs
from primecoat.errors import InputError, UseError
from primecoat.inventory import take_inventory

posix_only = pytest.mark.skipif(os.name == "nt", reason="needs symbolic links and pipes")


def fill(folder: Path, *names: str, data: bytes | None = None) -> None:
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b.png() if data is None else data)


def paths(folder: Path, **options) -> list[str]:
    return [image.path for image in take_inventory(folder, **options).images]


def test_pictures_of_all_folders(tmp_path: Path):
    """Pictures are found in every folder, in any case of ending; hidden and other files are not."""
    fill(tmp_path, "b.png", "a/c.PNG", "a/b/d.png", ".hidden.png", ".git/e.png", "notes.txt")
    assert paths(tmp_path) == ["a/b/d.png", "a/c.PNG", "b.png"]


def test_scenes_testify(tmp_path: Path):
    """A scene in the folder gives uses to its pictures; a picture used and found is listed once."""
    fill(tmp_path, "scenes/cup.png", "other.png")
    b.write_gltf(tmp_path / "scenes" / "tea.gltf", b.gltf([{"uri": "cup.png"}]))
    (tmp_path / "tea.csv").write_text("path,slot\nscenes/cup.png,base_color\n")
    images = {i.path: i for i in take_inventory(tmp_path).images}
    assert sorted(images) == ["other.png", "scenes/cup.png"]
    assert sorted((u.scene.name, u.use.slot) for u in images["scenes/cup.png"].uses) == [
        ("scenes/tea.gltf", "base_color"),
        ("tea.csv", "base_color"),
    ]
    assert images["other.png"].uses == ()


def test_tiles_become_one_set(tmp_path: Path):
    """Files that differ in a tile number only are one image; a single one keeps its name."""
    fill(tmp_path, "wall.1001.png", "wall.1002.png", "wall_1001.png", "roof.1001.png", "x.2001.png")
    images = {i.path: i for i in take_inventory(tmp_path).images}
    assert sorted(images) == ["roof.1001.png", "wall.<UDIM>.png", "wall_1001.png", "x.2001.png"]
    tiles = images["wall.<UDIM>.png"]
    assert [f.name for f in tiles.files] == ["wall.1001.png", "wall.1002.png"]
    assert len(tiles.measures) == 2
    assert tiles.name == "wall.<UDIM>.png"


def test_tiles_of_a_scene(tmp_path: Path):
    """A set that a scene names by its placeholder is one image with all its tiles."""
    fill(tmp_path, "wall.1001.png", "wall.1011.png", "wall.1021.png")
    (tmp_path / "s.csv").write_text("path,slot\nwall.<UDIM>.png,roughness\n")
    (image,) = take_inventory(tmp_path / "s.csv").images
    assert (image.path, len(image.files), image.problems) == ("wall.<UDIM>.png", 3, ())


def test_csv_that_is_no_scene(tmp_path: Path):
    """A price list in the folder is none of our business."""
    fill(tmp_path, "a.png")
    (tmp_path / "prices.csv").write_text("name,price\ncup,3\n")
    inventory = take_inventory(tmp_path)
    assert (inventory.scenes, inventory.problems) == ((), ())


def test_settings_sheet_does_not_testify(tmp_path: Path):
    """A settings sheet written into the folder says nothing at the next survey."""
    fill(tmp_path, "a.png")
    (tmp_path / "settings.csv").write_text(
        "path,owner,slot,channels,space,value,working,standing,today,section,note\n"
        "a.png,x,base_color,rgb,lin_ap1_scene,,,settled,,images,\n"
    )
    (image,) = take_inventory(tmp_path).images
    assert image.uses == ()


def test_broken_scene_is_one_finding(tmp_path: Path):
    """A scene in the folder that cannot be read is a finding; the rest is read."""
    fill(tmp_path, "a.png")
    (tmp_path / "s.gltf").write_bytes(b"\x00\x01")
    (tmp_path / "t.csv").write_bytes("path,slot,ü\n".encode("latin-1"))
    inventory = take_inventory(tmp_path)
    assert [i.path for i in inventory.images] == ["a.png"]
    assert [(p.name, p.where) for p in inventory.problems] == [
        ("scene_cannot_be_read", "s.gltf"),
        ("scene_cannot_be_read", "t.csv"),
    ]


@posix_only
@pytest.mark.parametrize(
    ("target", "name"),
    [
        ("nowhere.png", "file_is_missing"),
        ("link.png", "file_is_missing"),
        ("../outside.png", "file_is_outside_the_root"),
    ],
)
def test_links_in_a_folder(target: str, name: str, tmp_path: Path):
    """A link to nothing, to itself or out of the folder is a finding on it; the rest is read."""
    folder = tmp_path / "maps"
    fill(tmp_path, "outside.png", "maps/a.png")
    (folder / "link.png").symlink_to(target)
    images = {i.path: i for i in take_inventory(folder).images}
    assert sorted(images) == ["a.png", "link.png"]
    assert [p.name for p in images["link.png"].problems] == [name]
    assert (images["link.png"].files, images["link.png"].measures) == ((), ())
    assert images["a.png"].header is not None


@posix_only
def test_link_out_with_its_root(tmp_path: Path):
    """A link out of the folder is opened if its target's folder is a root."""
    fill(tmp_path, "far/outside.png")
    (tmp_path / "maps").mkdir()
    (tmp_path / "maps" / "link.png").symlink_to("../far/outside.png")
    roots = (tmp_path / "maps", tmp_path / "far")
    (image,) = take_inventory(tmp_path / "maps", roots=roots).images
    assert (image.path, image.problems) == ("link.png", ())
    assert image.header is not None


@posix_only
def test_linked_scene_outside(tmp_path: Path):
    """A scene that is a link out of the folder is not opened."""
    (tmp_path / "maps").mkdir()
    b.write_gltf(tmp_path / "s.gltf", b.gltf([]))
    (tmp_path / "maps" / "s.gltf").symlink_to("../s.gltf")
    inventory = take_inventory(tmp_path / "maps")
    assert inventory.scenes == ()
    assert [p.name for p in inventory.problems] == ["file_is_outside_the_root"]


@posix_only
def test_linked_folders(tmp_path: Path):
    """A linked folder is not followed: one to outside is a finding, a circle is no trouble."""
    fill(tmp_path, "far/b.png", "maps/a.png")
    (tmp_path / "maps" / "shared").symlink_to("../far")
    (tmp_path / "maps" / "circle").symlink_to(".")
    inventory = take_inventory(tmp_path / "maps")
    assert [i.path for i in inventory.images] == ["a.png"]
    assert [(p.name, p.where) for p in inventory.problems] == [
        ("file_is_outside_the_root", "shared")
    ]


@posix_only
def test_pipe_in_a_folder(tmp_path: Path):
    """A pipe that is called like a picture does not make the survey wait for ever."""
    os.mkfifo(tmp_path / "pipe.png")
    (image,) = take_inventory(tmp_path).images
    assert [p.name for p in image.problems] == ["file_is_missing"]


def test_empty_folder(tmp_path: Path):
    """An empty folder is an empty inventory."""
    inventory = take_inventory(tmp_path)
    assert (inventory.images, inventory.scenes, inventory.problems) == ((), (), ())
    assert list(tmp_path.iterdir()) == []


def test_target_that_is_not_there(tmp_path: Path):
    """A missing target, a picture as target and a missing root are told as wrong use."""
    fill(tmp_path, "a.png")
    with pytest.raises(UseError, match="no file or folder"):
        take_inventory(tmp_path / "gone.gltf")
    with pytest.raises(UseError, match="no scene that primecoat reads"):
        take_inventory(tmp_path / "a.png")
    with pytest.raises(UseError, match=r"no folder .*nowhere to be a root"):
        take_inventory(tmp_path, roots=[tmp_path / "nowhere"])


def test_broken_scene_as_target(tmp_path: Path):
    """A scene asked for by name that cannot be read is an error, not a finding."""
    (tmp_path / "s.gltf").write_text("{")
    with pytest.raises(InputError, match=r"s\.gltf"):
        take_inventory(tmp_path / "s.gltf")


def test_relative_to_the_root(tmp_path: Path):
    """Paths are shown relative to the root: the parent, where the scene needs it."""
    fill(tmp_path, "maps/a.png", "scene/b.png")
    document = b.gltf(
        [{"uri": "../maps/a.png"}, {"uri": "b.png"}],
        [b.BASE_COLOUR, {"normalTexture": {"index": 1}}],
    )
    scene = b.write_gltf(tmp_path / "scene" / "s.gltf", document)
    inventory = take_inventory(scene)
    assert [i.path for i in inventory.images] == ["maps/a.png", "scene/b.png"]
    assert [s.name for s in inventory.scenes] == ["scene/s.gltf"]
    assert inventory.home == tmp_path / "scene"


def test_case_twins_stay_apart(tmp_path: Path):
    """Two files whose names differ in case only are two images."""
    fill(tmp_path, "Wood.png", "wood.PNG")
    if len(list(tmp_path.iterdir())) < 2:
        pytest.skip("this file system does not tell case apart")
    assert paths(tmp_path) == ["Wood.png", "wood.PNG"]


def test_same_pixels_under_two_names(tmp_path: Path):
    """Two files with the same bytes are two images: names may say different things of them."""
    fill(tmp_path, "cup_data.png", "cup_srgb_rec709_scene.png")
    images = take_inventory(tmp_path).images
    assert len({i.measures[0].sha256 for i in images}) == 1
    assert [i.path for i in images] == ["cup_data.png", "cup_srgb_rec709_scene.png"]


def test_progress_is_told(tmp_path: Path):
    """Progress counts every picture once, up to their number."""
    fill(tmp_path, "a.png", "b.png", "c.png")
    seen: list[tuple[int, int]] = []
    take_inventory(tmp_path, progress=lambda done, total, *_: seen.append((done, total)))
    assert seen == [(1, 3), (2, 3), (3, 3)]


def test_workers_give_the_same(tmp_path: Path):
    """Two worker processes measure the same as none."""
    fill(tmp_path, "a.png", "b.png", "c.png")
    fill(tmp_path, "d.png", data=b"no picture")
    alone = take_inventory(tmp_path, verify=True, workplace=jobs.Workplace(1))
    (tmp_path / ".primecoat" / "measures.jsonl").unlink()
    assert take_inventory(tmp_path, verify=True, workplace=jobs.Workplace(2)) == alone
