from __future__ import annotations

from pathlib import Path

import pytest
from tests.plan import small as s

from primecoat.reading.two_ways import FILE_EACH


def test_each_image_of_a_gltf_gets_its_token_and_the_scene_follows(tmp_path: Path) -> None:
    """One new name for each image, one new scene beside the old; nothing else."""
    s.pictures(tmp_path, "tex/bowl.png", "tex/bowl_rough.png")
    scene = s.gltf(
        tmp_path / "tea.gltf", ("tex/bowl.png", "base_color"), ("tex/bowl_rough.png", "metal")
    )
    made = s.plan(scene)
    assert s.told(made.operations) == [
        ("link_image", "tex/bowl.png", f"tex/bowl_{s.SRGB}.png"),
        ("link_image", "tex/bowl_rough.png", "tex/bowl_rough_data.png"),
        ("write_scene", "tea.gltf", "tea.primed.gltf"),
    ]
    assert (made.held, made.findings) == ((), ())
    in_place = s.plan(scene, in_place=True)
    assert s.told(in_place.operations) == [
        ("rename_image", "tex/bowl.png", f"tex/bowl_{s.SRGB}.png"),
        ("rename_image", "tex/bowl_rough.png", "tex/bowl_rough_data.png"),
        ("write_scene", "tea.gltf", "tea.gltf"),
    ]


def test_planning_changes_nothing(tmp_path: Path) -> None:
    """No file under the scene differs after a plan, in content or in time."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
    before = s.content(tmp_path), s.times(tmp_path)
    s.plan(scene)
    s.plan(scene, in_place=True)
    assert (s.content(tmp_path), s.times(tmp_path)) == before


def test_embedded_pictures_are_extracted_beside_the_scene(tmp_path: Path) -> None:
    """Pictures in a GLB become files named after scene, owner and slot, whatever the owner."""
    scene = s.glb(
        tmp_path / "tea.glb",
        (s.png(1), "base_color"),
        (s.png(2), "normal"),
        owners=("../../Käse / glaze\n", "a" * 40),
    )
    made = s.plan(scene)
    assert s.told(made.operations) == [
        ("extract_image", "/images/0/bufferView", f"tea_K_se_glaze_base_color_0_{s.SRGB}.png"),
        ("extract_image", "/images/1/bufferView", f"tea_{'a' * 40}_normal_1_data.png"),
        ("write_scene", "tea.glb", "tea.primed.glb"),
    ]
    assert all("/" not in target for target in s.targets(made))


def test_a_data_uri_is_extracted_and_a_file_beside_it_is_linked(tmp_path: Path) -> None:
    """A glTF may hold one picture and name another; each goes its way."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.gltf(
        tmp_path / "tea.gltf", (s.data_uri(s.png(5)), "emissive"), ("bowl.png", "base_color")
    )
    assert s.told(s.plan(scene).operations)[:2] == [
        ("link_image", "bowl.png", f"bowl_{s.SRGB}.png"),
        ("extract_image", "/images/0/uri", f"tea_glaze_0_emissive_0_{s.SRGB}.png"),
    ]


def test_a_sheet_keeps_its_placeholders_and_every_tile_gets_the_token(tmp_path: Path) -> None:
    """`<UDIM>` stays in the reference, after the token; the tiles keep their numbers there."""
    s.pictures(tmp_path, "tray.1001.png", "tray.1002.png", "tray.1011.png", "tray.100.png")
    scene = s.sheet(tmp_path / "tea.csv", f"tray.<UDIM>.png,tray,base_color,rgb,{s.SRGB},")
    made = s.plan(scene)
    assert s.targets(made)[:-1] == [f"tray_{s.SRGB}.{n}.png" for n in (1001, 1002, 1011)]
    write = made.operations[-1]
    assert [(e.place, e.before, e.after) for e in write.edits] == [  # type: ignore[union-attr]
        ("row 2/path", "tray.<UDIM>.png", f"tray_{s.SRGB}.<UDIM>.png")
    ]


def test_a_folder_without_a_scene_has_its_images_named_once_decided(tmp_path: Path) -> None:
    """Without a use a picture's reading is held back, with a remedy; asked to, it is tagged."""
    s.pictures(tmp_path, "tex/bowl_color.png")
    bare = s.plan(tmp_path)
    assert (bare.operations, s.held(bare)) == ((), ["tex/bowl_color.png"])
    assert "--with-likely" in bare.held[0].remedy
    bold = s.plan(tmp_path, with_likely=True)
    assert s.told(bold.operations) == [
        ("link_image", "tex/bowl_color.png", f"tex/bowl_color_{s.SRGB}.png")
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (f"bowl_{s.SRGB}.png", "bowl_data.png"),
        ("bowl_srgb_texture.png", "bowl_data.png"),
        ("bowl-raw.png", "bowl-data.png"),
        ("bowl.lin_ap1_scene.1001.png", "bowl.data.1001.png"),
        ("strawberry.png", "strawberry_data.png"),
    ],
)
def test_an_existing_token_is_replaced_never_doubled(tmp_path: Path, old: str, new: str) -> None:
    """The new name carries one token, with the delimiter that the old one had."""
    s.pictures(tmp_path, old)
    made = s.plan(s.gltf(tmp_path / "tea.gltf", (old, "normal")))
    assert s.targets(made)[0] == new


def test_a_right_token_is_left_alone(tmp_path: Path) -> None:
    """An image that says its reading already gives no operation at all."""
    s.pictures(tmp_path, "bowl_data.png")
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("bowl_data.png", "normal")))
    assert (made.operations, made.held, made.findings) == ((), (), ())


def test_equal_pictures_under_two_names_stay_two(tmp_path: Path) -> None:
    """Two files with the same bytes and different readings get a name each."""
    for name in ("one.png", "two.png"):
        (tmp_path / name).write_bytes(s.png())
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("one.png", "base_color"), ("two.png", "normal")))
    assert s.targets(made) == [f"one_{s.SRGB}.png", "two_data.png", "tea.primed.gltf"]


def test_conflicting_and_unknown_and_likely_are_held_back(tmp_path: Path) -> None:
    """What is not firm is left as it is, with the reason and the verb that settles it."""
    s.pictures(tmp_path, "both.png", "sky.png", "logo.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        "both.png,a,base_color,rgb,,",
        "both.png,a,roughness,r,,",
        "sky.png,sky,environment,rgb,,",
        "logo.png,label,other_color,rgb,,",
    )
    made = s.plan(scene)
    assert made.operations == ()
    assert s.held(made) == ["both.png", "logo.png", "sky.png"]
    reasons = {h.where: h.why for h in made.held}
    assert "wanted two ways" in reasons["both.png"]
    assert "unknown" in reasons["sky.png"]
    assert "likely" in reasons["logo.png"]
    remedies = {h.where: h.remedy for h in made.held}
    assert remedies.pop("both.png") == FILE_EACH  # no one word is right for both uses
    assert all("decide" in remedy for remedy in remedies.values())
    assert s.held(s.plan(scene, with_likely=True)) == ["both.png", "sky.png"]


def test_missing_and_broken_pictures_are_held_back(tmp_path: Path) -> None:
    """A file that is gone, empty or outside the root is named and never acted on."""
    (tmp_path / "scene").mkdir()
    (tmp_path / "scene" / "empty.png").write_bytes(b"")
    s.pictures(tmp_path.parent, "out_of_reach.png")
    scene = s.gltf(
        tmp_path / "scene" / "tea.gltf",
        ("gone.png", "base_color"),
        ("empty.png", "normal"),
        ("../../out_of_reach.png", "emissive"),
    )
    made = s.plan(scene)
    assert made.operations == ()
    assert len(s.held(made)) == 3
