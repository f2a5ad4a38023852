"""Where house conventions are looked for, and where the search stops."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat.errors import InputError
from primecoat.house import find_house, house_for, house_further_up


@pytest.fixture(autouse=True)
def no_house_of_the_machine(monkeypatch):
    monkeypatch.delenv("PRIMECOAT_HOUSE", raising=False)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """``shows/tea/shots/scene.gltf``."""
    path = tmp_path / "shows" / "tea" / "shots" / "scene.gltf"
    path.parent.mkdir(parents=True)
    path.write_text("{}")
    return path


def put(folder: Path, text: str = 'to = "lin_rec2020_scene"') -> Path:
    path = folder / "primecoat.toml"
    path.write_text(text)
    return path


def test_the_nearest_one_counts(scene: Path):
    far = put(scene.parent.parent)
    assert find_house(scene) == far
    near = put(scene.parent)
    assert find_house(scene) == near


def test_search_goes_no_higher_than_a_scene_reaches_unasked(scene: Path):
    """Its folder and the one above; a folder reaches nothing above it."""
    put(scene.parents[2])
    assert find_house(scene) is None
    put(scene.parent.parent)
    assert find_house(scene.parent) is None


def test_search_goes_up_to_the_root_and_not_above(scene: Path):
    shows = scene.parents[2]
    put(shows.parent)
    assert find_house(scene, [shows]) is None
    house = put(shows)
    assert find_house(scene, [shows]) == house
    assert find_house(scene.parent, [scene.parent, shows]) == house
    assert find_house(scene, [scene.parent]) is None


def test_roots_elsewhere_let_nothing_above_the_scene_speak(scene: Path, tmp_path: Path):
    put(scene.parent.parent)
    other = tmp_path / "other"
    other.mkdir()
    assert find_house(scene, [other]) is None


def test_what_is_named_comes_before_what_is_found(scene: Path, tmp_path: Path, monkeypatch):
    put(scene.parent)
    elsewhere = tmp_path / "house.toml"
    elsewhere.write_text('to = "lin_ap0_scene"')
    assert house_for(scene).to_space == "lin_rec2020_scene"
    assert not house_for(scene).named
    monkeypatch.setenv("PRIMECOAT_HOUSE", str(elsewhere))
    assert house_for(scene).to_space == "lin_ap0_scene"
    assert house_for(scene).named
    assert house_for(scene, asked="none").file is None
    monkeypatch.setenv("PRIMECOAT_HOUSE", "none")
    assert house_for(scene).file is None


def test_what_is_named_must_be_there(scene: Path):
    with pytest.raises(InputError, match="Cannot read"):
        house_for(scene, asked="gone.toml")


def test_a_link_out_of_the_folder_is_refused(scene: Path, tmp_path: Path):
    other = tmp_path / "other.toml"
    other.write_text("secret = 1")
    (scene.parent / "primecoat.toml").symlink_to(other)
    with pytest.raises(InputError, match="is a link to") as refused:
        house_for(scene)
    assert "secret" not in str(refused.value)


def test_what_lies_too_far_up_is_named_and_not_opened(scene: Path, monkeypatch):
    """Only where nothing holds and nobody said what is to hold."""
    far = put(scene.parents[2], "this is no TOML")
    assert house_further_up(scene) == far
    assert house_further_up(scene.parent) == far
    assert house_further_up(scene, [scene.parent]) == far
    assert house_further_up(scene, [scene.parents[2]]) is None
    assert house_further_up(scene, asked="none") is None
    monkeypatch.setenv("PRIMECOAT_HOUSE", "none")
    assert house_further_up(scene) is None
    monkeypatch.delenv("PRIMECOAT_HOUSE")
    put(scene.parent)
    assert house_further_up(scene) is None
