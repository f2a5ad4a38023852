from __future__ import annotations

from pathlib import Path

import pytest
from tests.plan import small as s

from primecoat import workflow


def primed(scene: Path) -> Path:
    """Prime a scene by the tag route; return the new one."""
    workflow.apply(s.plan(scene))
    return scene.with_name(f"{scene.stem}.primed{scene.suffix}")


def test_one_file_spelled_in_many_ways_is_linked_once_and_every_spelling_follows(
    tmp_path: Path,
) -> None:
    """Each reference keeps the folder part that the artist wrote."""
    s.pictures(tmp_path, "tex/bowl.png")
    spellings = ("tex/bowl.png", "./tex/bowl.png", "tex/../tex/bowl.png", "tex//bowl.png")
    scene = s.gltf(tmp_path / "tea.gltf", *((spelling, "base_color") for spelling in spellings))
    made = s.plan(scene)
    assert s.targets(made) == [f"tex/bowl_{s.SRGB}.png", "tea.primed.gltf"]
    workflow.apply(made)
    new = s.uris(tmp_path / "tea.primed.gltf")
    assert new == [spelling.replace("bowl", f"bowl_{s.SRGB}") for spelling in spellings]


@pytest.mark.parametrize(
    ("written", "file", "new"),
    [
        ("tex/tea%20pot.png", "tex/tea pot.png", f"tex/tea%20pot_{s.SRGB}.png"),
        ("tex%2Fbowl.png", "tex/bowl.png", f"tex/bowl_{s.SRGB}.png"),
        ("t%65x/b%6Fwl.png", "tex/bowl.png", f"t%65x/bowl_{s.SRGB}.png"),
        ("tex\\bowl.png", "tex/bowl.png", f"tex/bowl_{s.SRGB}.png"),
        ("100%25.png", "100%.png", f"100%25_{s.SRGB}.png"),
        ("K%C3%A4se.png", "Käse.png", f"K%C3%A4se_{s.SRGB}.png"),
        ("Käse.png", "Käse.png", f"K%C3%A4se_{s.SRGB}.png"),
        ("tex%0An.png", "tex\nn.png", f"tex%0An_{s.SRGB}.png"),
    ],
)
def test_encoded_references_lead_to_the_new_name(
    tmp_path: Path, written: str, file: str, new: str
) -> None:
    """The reference is encoded as a URI must be, and what it leads to is there."""
    s.pictures(tmp_path, file)
    result = primed(s.gltf(tmp_path / "tea.gltf", (written, "base_color")))
    assert s.uris(result) == [new]
    found = workflow.survey(result, workers=1)
    assert [i.record.problems for i in found.readings.images] == [()]
    assert [len(i.record.files) for i in found.readings.images] == [1]
    assert workflow.gate(workflow.survey(result, verify=True, workers=1)).open


def test_a_reference_in_the_wrong_case_is_repaired(tmp_path: Path) -> None:
    """Folder and name take the spelling that the disk has, even if the token is right already."""
    s.pictures(tmp_path, "tex/bowl.png", "tex/cup_data.png")
    scene = s.gltf(
        tmp_path / "tea.gltf", ("Tex/Bowl.png", "base_color"), ("tex/Cup_data.png", "normal")
    )
    result = primed(scene)
    assert s.uris(result) == [f"tex/bowl_{s.SRGB}.png", "tex/cup_data.png"]
    assert workflow.survey(result, workers=1).findings == ()


def test_files_that_differ_only_in_case_stay_apart(tmp_path: Path) -> None:
    """`Wood.png` and `wood.PNG` are two pictures, before and after."""
    s.pictures(tmp_path, "Wood.png", "wood.PNG")
    if len(s.content(tmp_path)) < 2:
        pytest.skip("this file system sees both names as one")
    made = s.plan(s.gltf(tmp_path / "t.gltf", ("Wood.png", "base_color"), ("wood.PNG", "normal")))
    assert s.targets(made)[:2] == [f"Wood_{s.SRGB}.png", "wood_data.PNG"]
    alike = s.plan(s.gltf(tmp_path / "t.gltf", ("Wood.png", "normal"), ("wood.PNG", "normal")))
    assert s.targets(alike)[:2] == ["Wood_data.png", "wood_data.PNG"]
    assert (s.codes(made), s.codes(alike)) == ([], [])


def test_a_set_and_one_of_its_tiles_share_the_new_name(tmp_path: Path) -> None:
    """A tile that is named by itself as well is linked once, and both references follow."""
    s.pictures(tmp_path, "tray.1001.png", "tray.1002.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        f"tray.<UDIM>.png,tray,base_color,rgb,{s.SRGB},",
        f"tray.1001.png,board,base_color,rgb,{s.SRGB},",
    )
    made = s.plan(scene)
    assert sorted(s.targets(made)) == [
        "tea.primed.csv", f"tray_{s.SRGB}.1001.png", f"tray_{s.SRGB}.1002.png",
    ]  # fmt: skip
    workflow.apply(made)
    new = [row["path"] for row in s.cells(tmp_path / "tea.primed.csv")]
    assert new == [f"tray_{s.SRGB}.<UDIM>.png", f"tray_{s.SRGB}.1001.png"]


def test_a_folder_that_is_a_link_is_no_second_folder(tmp_path: Path) -> None:
    """One file reached through a folder and through a link to it gets one new name."""
    s.pictures(tmp_path, "tex/bowl.png")
    (tmp_path / "maps").symlink_to("tex", target_is_directory=True)
    scene = s.gltf(
        tmp_path / "tea.gltf", ("tex/bowl.png", "base_color"), ("maps/bowl.png", "emissive")
    )
    result = primed(scene)
    new = s.uris(result)
    assert new == [f"tex/bowl_{s.SRGB}.png", f"maps/bowl_{s.SRGB}.png"]
    assert all((tmp_path / uri).read_bytes() == s.png(0) for uri in new)


def test_only_the_references_of_a_scene_change(tmp_path: Path) -> None:
    """Every byte of the new scene but the names is that of the old."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
    text = scene.read_text().replace('"asset"', '"note" : "bowl.png  é",\r\n "asset"')
    scene.write_bytes(text.encode())
    result = primed(scene)
    old, new = scene.read_bytes(), result.read_bytes()
    assert new == old.replace(b'"uri": "bowl.png"', f'"uri": "bowl_{s.SRGB}.png"'.encode())
