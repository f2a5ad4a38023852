"""The whole way of the demo scene through the command line, and back again."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.journeys.conftest import Told
from tests.plan import small as s

from primecoat import workflow

Scene = Callable[[str], Path]


def left(primecoat: Told, target: Path) -> set[str]:
    """Return what the gate says is left to a guess."""
    return {entry["where"] for entry in primecoat.json("gate", target)["left"]}


def test_the_clean_twin_is_primed_and_passes(scene: Scene, primecoat: Told, tmp_path: Path) -> None:
    """Closed before, open after; a second plan is empty; each way of undo gives it all back."""
    folder = scene("clean")
    gltf, primed, plan = folder / "tea.gltf", folder / "tea.primed.gltf", tmp_path / "plan.json"
    before, times = s.content(folder), s.times(folder)
    assert primecoat("gate", gltf) == 1
    found = primecoat.json("survey", gltf)
    count = sum(len(found[kind]) for kind in ("images", "colours", "lights"))
    assert primecoat("plan", gltf, "--out", plan) == 0
    assert s.content(folder) == before
    for taken_back in (plan, gltf, primed, folder):
        assert primecoat("apply", plan) == 0
        assert primecoat("gate", primed) == 0
        document = primecoat.json("gate", primed)
        assert (document["open"], document["left"]) == (True, [])
        assert {finding["severity"] for finding in document["findings"]} <= {"note"}
        assert document["explicit"] == count > 40
        after = s.content(folder)
        assert {name: after[name] for name in before} == before
        assert primecoat("plan", gltf, "--out", tmp_path / "again.json") == 0
        assert primecoat.json("apply", tmp_path / "again.json")["operations"] == []
        assert primecoat("undo", taken_back) == 0
        assert (s.content(folder), s.times(folder)) == (before, times)
        assert primecoat("undo", taken_back) == 2


def test_the_clean_folder_is_primed_whole(scene: Scene, primecoat: Told, tmp_path: Path) -> None:
    """Both scenes at once; superseded originals do not count; a second plan is empty."""
    folder, plan = scene("clean"), tmp_path / "plan.json"
    before = s.content(folder)
    assert primecoat("gate", folder) == 1
    assert primecoat("plan", folder, "--with-likely", "--out", plan) == 0
    assert primecoat("apply", plan) == 0
    assert {"tea.primed.gltf", "tea.primed.csv"} <= set(s.content(folder))
    assert primecoat("gate", folder) == 0
    assert primecoat("plan", folder, "--with-likely", "--out", tmp_path / "again.json") == 0
    assert primecoat.json("apply", tmp_path / "again.json")["operations"] == []
    assert primecoat("undo", folder) == 0
    assert s.content(folder) == before


def test_the_clean_folder_in_place(scene: Scene, primecoat: Told, tmp_path: Path) -> None:
    """Names change, the number of files does not, no byte of a picture is lost."""
    folder, plan = scene("clean"), tmp_path / "plan.json"
    before, times = s.content(folder), s.times(folder)
    assert primecoat("plan", folder, "--in-place", "--with-likely", "--out", plan) == 0
    assert primecoat("apply", plan) == 0
    after = s.content(folder)
    pictures = {n for n in before if n.startswith("textures/")}
    assert len(after) == len(before)
    assert sorted(str(before[n]) for n in pictures) == sorted(
        str(data) for n, data in after.items() if n.startswith("textures/")
    )
    assert primecoat("gate", folder) == 0
    assert primecoat("undo", folder) == 0
    assert (s.content(folder), s.times(folder)) == (before, times)


def test_the_faulted_scene_is_primed_as_far_as_it_can_be(
    scene: Scene, primecoat: Told, tmp_path: Path
) -> None:
    """What a person can settle is settled by a word; what must be mended stays named."""
    folder = scene("faulted")
    gltf, primed, plan = folder / "tea.gltf", folder / "tea.primed.gltf", tmp_path / "plan.json"
    before = s.content(folder)
    survey = primecoat.json("survey", gltf)
    torn = {i["path"] for i in survey["images"] if i["standing"] in ("conflicting", "unknown")}
    assert torn == {"textures/sugar_jar_color.png"}
    assert primecoat("plan", gltf, "--with-likely", "--out", plan) == 1
    assert primecoat("decide", gltf, *torn, s.SRGB, "--because", "it is a glaze") == 0
    assert primecoat("plan", gltf, "--with-likely", "--out", plan) == 1
    assert primecoat("apply", plan) == 0
    assert {name: s.content(folder)[name] for name in before} == before
    mend = {"textures/coaster_color.png", "textures/sugar_jar_color.png"}
    assert left(primecoat, primed) == mend  # gone; and used as colour and as data
    uris = s.uris(primed)
    assert "textures/saucer_roughness_data.png" in uris  # the stale token is replaced
    assert f"textures/cup_color_{s.SRGB}.png" in uris  # the wrong case is repaired
    assert f"textures/strawberry_jam_color_{s.SRGB}.png" in uris  # the berry stays a berry
    assert not any("saucer_roughness_srgb" in uri for uri in uris)
    assert primecoat("gate", primed) == 1
    assert primecoat("undo", primed) == 0
    assert s.content(folder) == before


@pytest.mark.parametrize("twin", ["clean", "faulted"])
def test_the_sheet_is_tagged(scene: Scene, primecoat: Told, tmp_path: Path, twin: str) -> None:
    """Placeholders stay, the declared spaces stay; the clean one passes."""
    folder, plan = scene(twin), tmp_path / "plan.json"
    sheet, primed = folder / "tea.csv", folder / "tea.primed.csv"
    before = s.content(folder)
    if twin == "faulted":
        panorama = "textures/courtyard_panorama.png"
        assert primecoat("decide", sheet, panorama, s.SRGB) == 0
    assert primecoat("plan", sheet, "--with-likely", "--out", plan) == 0
    assert primecoat("apply", plan) == 0
    rows, old = s.cells(primed), s.cells(sheet)
    assert f"textures/oak_tray_color_{s.SRGB}.<UDIM>.png" in [row["path"] for row in rows]
    assert [row["space"] for row in rows] == [row["space"] for row in old]
    assert primecoat("gate", primed) == 0
    assert primecoat("undo", sheet) == 0
    assert s.content(folder) == before


def test_the_sheet_is_declared(scene: Scene, primecoat: Told, tmp_path: Path) -> None:
    """The one row without a space gets it once a person says what it is, and the gate opens."""
    folder, plan = scene("faulted"), tmp_path / "plan.json"
    sheet, primed = folder / "tea.csv", folder / "tea.primed.csv"
    before = s.content(folder)
    assert left(primecoat, sheet) == {"textures/courtyard_panorama.png"}
    assert primecoat("decide", sheet, "textures/courtyard_panorama.png", s.SRGB) == 0
    assert primecoat("plan", sheet, "--route", "declare", "--out", plan) == 0
    done = primecoat.json("apply", plan)["operations"]
    assert [(o["do"], len(o["edits"])) for o in done] == [("write_scene", 1)]
    assert primecoat("gate", primed) == 0
    assert all(row["space"] for row in s.cells(primed))
    assert primecoat("undo", primed) == 0
    assert s.content(folder) == before


def test_the_sheet_is_baked(scene: Scene, primecoat: Told, tmp_path: Path) -> None:
    """Colour goes to the working space in new files; data and originals keep every byte."""
    folder, plan = scene("clean"), tmp_path / "plan.json"
    sheet, primed = folder / "tea.csv", folder / "tea.primed.csv"
    before = s.content(folder)
    assert primecoat("plan", sheet, "--route", "bake", "--out", plan) == 1  # the backplate is held
    assert primecoat("apply", plan) == 0
    assert {name: s.content(folder)[name] for name in before} == before
    spaces = {row["owner"]: row["space"] for row in s.cells(primed)}
    assert spaces["oak tray"] == spaces["awning cloth"] == spaces["evening lamp"] == s.AP1
    assert spaces["camera"] == "srgb_rec709_display"
    old = {row["owner"]: row["path"] for row in s.cells(sheet) if row["space"] == "data"}
    new = {row["owner"]: row["path"] for row in s.cells(primed) if row["space"] == "data"}
    assert {o: p for o, p in new.items() if o != "crate label"} == {
        o: p for o, p in old.items() if o != "crate label"
    }
    assert primecoat("gate", primed) == 0
    assert primecoat("plan", sheet, "--route", "bake", "--out", tmp_path / "again.json") == 1
    assert primecoat.json("apply", tmp_path / "again.json")["operations"] == []
    assert primecoat("undo", sheet) == 0
    assert s.content(folder) == before


def test_a_name_changed_by_hand_in_a_plan_is_refused(
    scene: Scene, primecoat: Told, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command line says in one line why such a plan is not carried out; exit code 1."""
    folder, plan = scene("clean"), tmp_path / "plan.json"
    assert primecoat("plan", folder / "tea.gltf", "--out", plan) == 0
    text = plan.read_text(encoding="utf-8")
    first = f"textures/bowl_color_{s.SRGB}.png"
    plan.write_text(text.replace(f'"{first}"', '"../../bowl.png"'), encoding="utf-8")
    before = s.content(tmp_path)
    capsys.readouterr()
    assert primecoat("apply", plan) == 1
    lines = capsys.readouterr().err.strip().splitlines()
    assert len(lines) == 1
    assert "../../bowl.png" in lines[0]
    assert s.content(tmp_path) == before


def test_undo_by_a_scene_finds_the_run_of_the_folder_above(
    tmp_path: Path, written_clean: Path
) -> None:
    """A run planned for a folder is taken back by naming a scene deep inside it."""
    shop = tmp_path / "shop"
    shutil.copytree(written_clean, shop / "table")
    before = {p: p.read_bytes() for p in sorted(shop.rglob("*")) if p.is_file()}
    workflow.apply(workflow.plan(workflow.survey(shop, verify=True), "tag"))
    assert workflow.undo(shop / "table" / "tea.gltf")
    after = {
        p: p.read_bytes()
        for p in sorted(shop.rglob("*"))
        if p.is_file() and ".primecoat" not in p.parts
    }
    assert after == before
