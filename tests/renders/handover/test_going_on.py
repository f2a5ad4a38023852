"""Same recipe, same bytes; a run cut short goes on; nothing that is not its own is replaced."""

from __future__ import annotations

import contextlib
import json
import os
import signal

import numpy as np
import pytest
from tests.apply import kiln
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.errors import RefusedError
from primecoat.files import ASIDE_PREFIX, sha256_of


def outputs(folder):
    return {p.name: sha256_of(p) for p in sorted(folder.iterdir()) if p.is_file()}


@pytest.mark.parametrize("kind", ["st2065-4", "acescg-exr", "p3-png", "srgb-tiff", "srgb-jpeg"])
def test_same_recipe_twice_is_the_same_bytes(tmp_path, kind):
    path = m.master(tmp_path / "beauty.exr", m.light())
    first = workflow.handover([path], kind, out=tmp_path / "one")
    second = workflow.handover([path], kind, out=tmp_path / "two")
    assert outputs(first.folder) == outputs(second.folder)
    assert len(outputs(first.folder)) == 2
    again = workflow.handover([path], kind, out=tmp_path / "one")
    assert [done.made for done in again.done] == [False]
    assert outputs(first.folder) == outputs(second.folder)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_killed_run_is_gone_on_with(tmp_path, workers):
    """Killed with all its workers while frames are under way: what has a name is whole."""
    frames = 6
    for number in range(frames):
        light = np.tile(m.light(seed=number), (12, 12, 1))
        m.master(tmp_path / f"beauty.{number:04}.exr", light, kind="half")
    whole = workflow.handover([tmp_path / "beauty.####.exr"], "srgb-png", out=tmp_path / "whole")
    wanted = outputs(whole.folder)
    cut = tmp_path / "cut"
    asked = ("handover", str(tmp_path / "beauty.####.exr"), "--as", "srgb-png", "--out", str(cut))
    child = kiln.primecoat(*asked, "--workers", str(workers))
    kiln.wait_for(lambda: child.poll() is not None or any(cut.glob("*.png")))
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child.pid, signal.SIGKILL)
    child.communicate()
    made = {name: sha for name, sha in outputs(cut).items() if name.endswith(".png")}
    assert 0 < len(made) < frames
    assert made.items() <= wanted.items()
    found = workflow.handover([tmp_path / "beauty.####.exr"], "srgb-png", out=cut)
    assert sum(not done.made for done in found.done) >= len(made)
    assert any(done.made for done in found.done)
    assert outputs(cut) == wanted
    assert not list(cut.rglob(f"{ASIDE_PREFIX}*"))


def test_an_own_file_is_made_anew_when_its_master_changed(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.light(seed=1))
    first = workflow.handover([path], "acescg-exr")
    before = outputs(first.folder)
    m.master(path, m.light(seed=2))
    second = workflow.handover([path], "acescg-exr")
    assert second.done[0].made
    fresh = workflow.handover([path], "acescg-exr", out=tmp_path / "fresh")
    assert outputs(second.folder)["beauty.exr"] == outputs(fresh.folder)["beauty.exr"]
    assert outputs(second.folder) != before


def test_nothing_of_somebody_else_is_replaced(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.light())
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "beauty.png").write_bytes(b"a drawing of a teapot")
    found = workflow.handover([path], "srgb-png", out=folder)
    assert "was not written here" in found.failed[0].reason
    assert (folder / "beauty.png").read_bytes() == b"a drawing of a teapot"
    (folder / "beauty.png").unlink()
    assert workflow.handover([path], "srgb-png", out=folder).done[0].made
    with pytest.raises(RefusedError, match="by another recipe"):
        workflow.handover([path], "srgb-png", out=folder, view="Un-tone-mapped")
    retouched = (folder / "beauty.png").read_bytes() + b"retouched"
    (folder / "beauty.png").write_bytes(retouched)
    found = workflow.handover([path], "srgb-png", out=folder)
    assert "changed since" in found.failed[0].reason
    assert (folder / "beauty.png").read_bytes() == retouched
    (folder / "handover.srgb-png.json").write_text("{}")
    with pytest.raises(RefusedError, match="no manifest of a handover"):
        workflow.handover([path], "srgb-png", out=folder)


def test_another_kind_of_one_ending_does_not_replace(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.light())
    workflow.handover([path], "srgb-png", out=tmp_path / "out")
    before = outputs(tmp_path / "out")["beauty.png"]
    found = workflow.handover([path], "p3-png", out=tmp_path / "out")
    assert "by another recipe" in found.failed[0].reason
    assert outputs(tmp_path / "out")["beauty.png"] == before


def test_the_manifest_says_what_was_made_of_what(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.covered())
    found = workflow.handover([path], "p3-png")
    manifest = json.loads((tmp_path / "p3-png" / "handover.p3-png.json").read_text())
    assert manifest == found.document
    assert manifest["document"] == "primecoat.handover/1"
    assert manifest["recipe"]["view"] == "ACES 2.0 - SDR 100 nits (P3 D65)"
    assert manifest["recipe"]["config"].startswith("studio-config")
    (file,) = manifest["files"]
    assert file["sha256"] == sha256_of(tmp_path / "p3-png" / "beauty.png")
    assert file["master"] == "../beauty.exr"
    assert file["master_sha256"] == sha256_of(path)
    assert set(file["made_with"]) == {"primecoat", "OpenColorIO", "OpenImageIO"}
    assert file["read_back"] == {
        "reader": "primecoat",
        "pixels": "equal",
        "labels": ["cICP: srgb_p3d65_scene"],
        "faults": [],
    }
    assert file["greatest_rounding"] <= 0.51
    assert str(tmp_path) not in json.dumps(manifest)
