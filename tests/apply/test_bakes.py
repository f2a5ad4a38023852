"""The bakes of a plan: by any engine, in shares, again and again, and when some of them fail."""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from tests.apply import kiln
from tests.plan import small as s

from primecoat import jobs, workflow
from primecoat.apply.bakes import BakesFailedError, bakes_document, bakes_sha256
from primecoat.apply.execute import Done
from primecoat.bake.store import StoredBake, key_of, store_of
from primecoat.cli.main import run as command
from primecoat.errors import RefusedError
from primecoat.files import sha256_of_bytes
from primecoat.images.oiio import codec_threads, read_pixels, write_pixels
from primecoat.plan.operations import BakeImage, as_document
from primecoat.plan.plan import Plan


def report_hash(done: tuple[Done, ...]) -> str:
    return bakes_sha256(
        bakes_document((d.operation, d.baked) for d in done if d.baked)  # type: ignore[misc]
    )


def entries(folder: Path) -> list[Path]:
    return sorted((folder / ".primecoat" / "baked").iterdir())


def copy_of(made: Plan, folder: Path) -> Plan:
    """Copy a planned scene elsewhere, the plan with it."""
    shutil.copytree(made.root, folder, ignore=shutil.ignore_patterns(".primecoat"))
    return replace(made, root=folder, target=folder / made.target.name)


def test_any_number_of_workers_or_shares_gives_the_same_bytes(tmp_path: Path) -> None:
    """Alone, with two workers, and in three shares in any order: files and report hash agree."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 7, 64))
    pair, shares = copy_of(made, tmp_path / "pair"), copy_of(made, tmp_path / "shares")
    alone = workflow.apply(made, workers=1)
    assert len(kiln.baked(made.root)) == 7
    assert report_hash(workflow.apply(pair, workers=2)) == report_hash(alone)
    before = s.content(shares.root)
    parts: dict[int, StoredBake] = {}
    for number in (3, 1, 2):
        share = workflow.bake_share(shares, jobs.Shard(number, 3), workers=number)
        assert not share.failed
        assert not parts.keys() & share.done.keys()
        parts |= share.done
    assert s.content(shares.root) == before
    assert not (shares.root / ".primecoat" / "journal.jsonl").exists()
    times = {entry: entry.stat().st_mtime_ns for entry in entries(shares.root)}
    assert len(times) == 7
    done = workflow.apply(shares)
    assert report_hash(done) == report_hash(alone)
    assert {d.baked.seconds for d in done if d.baked} == {p.seconds for p in parts.values()}
    for world in (made, pair, shares):
        assert kiln.baked(world.root) == kiln.baked(made.root)
        assert kiln.left_over(world.root) == []


def test_the_command_line_shares_the_work_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each share prints its part; the apply after them has the hash of an unshared run."""
    made, file = kiln.planned(kiln.tableware(tmp_path / "tea", 3))
    other = copy_of(made, tmp_path / "other")
    assert command(["apply", str(file), "--json"]) == 0
    whole = json.loads(capsys.readouterr().out)
    file.write_text(json.dumps(other.as_document({})))
    parts = []
    for number in (1, 2):
        assert command(["apply", str(file), "--shard", f"{number}/2", "--json"]) == 0
        parts.append(json.loads(capsys.readouterr().out))
    assert [part["document"] for part in parts] == ["primecoat.baked/1"] * 2
    assert [part["shard"] for part in parts] == ["1/2", "2/2"]
    together = sorted(parts[0]["bakes"] + parts[1]["bakes"], key=lambda b: b["target"])
    assert together == whole["bakes"]
    assert bakes_sha256(together) == whole["bakes_sha256"]
    assert command(["apply", str(file), "--json"]) == 0
    after = json.loads(capsys.readouterr().out)
    assert after["bakes_sha256"] == whole["bakes_sha256"]
    assert {b["sha256"] for b in after["bakes"]} == set(kiln.baked(other.root).values())
    assert command(["apply", str(file), "--shard", "1/2"]) == 0
    assert "0 pictures baked" in capsys.readouterr().out  # the plan stands
    assert kiln.left_over(other.root) == []


def test_one_corrupt_picture_among_ten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nine are baked, the bad one is listed, the scene is untouched; once mended, one is left."""
    scene = kiln.tableware(tmp_path / "tea", 10)
    whole = (scene.parent / "dish4.png").read_bytes()
    made, file = kiln.planned(scene)
    broken = whole[: len(whole) * 2 // 3]
    (scene.parent / "dish4.png").write_bytes(broken)
    bad = replace(
        made,
        operations=tuple(
            replace(o, source_sha256=sha256_of_bytes(broken))
            if isinstance(o, BakeImage) and o.source == "dish4.png"
            else o
            for o in made.operations
        ),
    )
    before = s.content(scene.parent)
    for workers in (1, 2):
        with pytest.raises(BakesFailedError, match=r"1 picture could not .* nothing .*dish4\.png"):
            workflow.apply(bad, workers=workers)
        assert s.content(scene.parent) == before
        assert len(entries(scene.parent)) == 9
    file.write_text(json.dumps(bad.as_document({})))
    assert command(["apply", str(file), "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    (failed,) = document["failed"]
    assert failed["path"] == "dish4.png"
    assert "Cannot" in failed["reason"]
    assert failed["remedy"]
    assert (len(document["bakes"]), document["operations"]) == (9, [])
    assert command(["apply", str(file)]) == 1
    shown = capsys.readouterr().out
    assert "failed  dish4.png: " in shown
    assert "nothing in the scene was changed. 9 finished bakes kept" in shown
    assert command(["apply", str(file), "--shard", "1/1"]) == 1
    (scene.parent / "dish4.png").write_bytes(whole)
    assert len(workflow.apply(made)) == 11
    assert kiln.left_over(scene.parent) == []


def test_a_source_that_changes_before_a_share_is_baked(tmp_path: Path) -> None:
    """A share names the changed picture and bakes the rest; a whole run refuses beforehand."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 3))
    (made.root / "dish1.png").write_bytes(s.png(5))
    share = workflow.bake_share(made, jobs.WHOLE)
    assert [(f.path, f.remedy) for f in share.failed] == [("dish1.png", "Make a new plan.")]
    assert "changed since" in share.failed[0].reason
    assert sorted(share.done) == [0, 2]
    with pytest.raises(RefusedError, match="has changed since the plan was made"):
        workflow.apply(made)


@pytest.mark.parametrize("what", ["picture", "scene"])
def test_a_file_that_changes_while_pictures_are_baked(tmp_path: Path, what: str) -> None:
    """What was seen at the start is looked at again before anything is changed."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 2))
    file = made.root / ("dish0.png" if what == "picture" else "tea.csv")

    def change(done: int, *_: int) -> None:
        if done == 2:
            file.write_bytes(file.read_bytes() + b" ")

    with pytest.raises(RefusedError, match=r"changed while pictures were baked .*; nothing"):
        workflow.apply(made, baking=change)
    assert kiln.baked(made.root) == {}
    assert not (made.root / "tea.primed.csv").exists()


def test_a_damaged_entry_is_baked_anew(tmp_path: Path) -> None:
    """A stored picture whose bytes changed, or a record that is torn, is never believed."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 3))
    workflow.bake_share(made, jobs.WHOLE)
    first, second, _ = entries(made.root)
    good = {entry.name: (entry / "record.json").read_bytes() for entry in entries(made.root)}
    data = bytearray((first / "picture.exr").read_bytes())
    data[-1] ^= 1
    (first / "picture.exr").write_bytes(data)
    (second / "record.json").write_bytes(good[second.name][:30])
    share = workflow.bake_share(made, jobs.WHOLE)
    assert not share.failed
    sha256 = {json.loads(good[e.name])["sha256"] for e in entries(made.root)}
    assert {stored.sha256 for stored in share.done.values()} == sha256
    workflow.apply(made)
    assert set(kiln.baked(made.root).values()) == sha256


def test_the_key_of_a_bake_stands_for_all_that_makes_it(tmp_path: Path) -> None:
    """Source, reading, space, storage, name and the config's own maths each give another key."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 1))
    operation = made.operations[0]
    assert isinstance(operation, BakeImage)
    configs = [tmp_path / f"{name}.ocio" for name in ("one", "two")]
    for config, factor in zip(configs, (1, 2), strict=True):
        config.write_text(_CONFIG.replace("FACTOR", str(factor)))
    as_is = replace(operation, config=str(configs[0]))
    others = [
        replace(operation, source_sha256="00"),
        replace(operation, reading="lin_rec709_scene"),
        replace(operation, to_space="lin_rec2020_scene"),
        replace(operation, storage=operation.storage.replace("zip", "piz")),
        replace(operation, target="dish9.exr"),
        as_is,
    ]
    keys = {key_of(o) for o in (operation, *others)}
    assert len(keys) == 7
    before = key_of(as_is)
    configs[0].write_text(configs[1].read_text())
    code = (
        "import sys, json\nfrom primecoat.bake.store import key_of\n"
        "from primecoat.plan.operations import from_document\n"
        "print(key_of(from_document(json.load(sys.stdin))))"
    )
    after = subprocess.run(
        [sys.executable, "-c", code],
        input=json.dumps(as_document(as_is)),
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(kiln.ROOT / "src")},
    ).stdout.strip()
    assert after != before


_CONFIG = """ocio_profile_version: 2
roles: {default: one}
file_rules:
  - !<Rule> {name: Default, colorspace: one}
displays:
  screen:
    - !<View> {name: raw, colorspace: one}
colorspaces:
  - !<ColorSpace>
    name: one
    aliases: [lin_ap1_scene]
  - !<ColorSpace>
    name: two
    aliases: [srgb_rec709_scene]
    to_scene_reference: !<MatrixTransform>
      matrix: [FACTOR, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]
"""


def test_what_a_dead_process_left_is_swept(tmp_path: Path) -> None:
    """Unfinished work of a process that is gone goes; of one that lives, or elsewhere, it stays."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 1))
    store = store_of(made.root)
    store.mkdir(parents=True)
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    key, host = "0" * 32, os.uname().nodename
    gone, alive, elsewhere = (
        store / f".primecoat-{place}-{pid}-{key}.tmp"
        for place, pid in ((host, child.pid), (host, os.getppid()), ("kiln-2", child.pid))
    )
    for folder in (gone, alive, elsewhere):
        folder.mkdir()
        (folder / "picture.exr").write_bytes(b"half")
    workflow.apply(made)
    assert [gone.exists(), alive.exists(), elsewhere.exists()] == [False, True, True]


def test_undo_removes_the_baked_files_and_keeps_the_originals(tmp_path: Path) -> None:
    """There and back, byte for byte; a baked file that was edited since is left alone."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 3))
    before = s.content(made.root)
    workflow.apply(made, workers=2)
    edited = made.root / next(iter(kiln.baked(made.root)))
    bytes_made = edited.read_bytes()
    edited.write_bytes(bytes_made + b" ")
    with pytest.raises(RefusedError, match="has changed since primecoat wrote it"):
        workflow.undo(made.target)
    edited.write_bytes(bytes_made)
    workflow.undo(made.target)
    assert s.content(made.root) == before
    assert kiln.left_over(made.root) == []


def test_a_store_that_cannot_be_made(tmp_path: Path) -> None:
    """Something else under its name is said in one line; nothing is changed."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 2))
    store_of(made.root).parent.mkdir(exist_ok=True)
    store_of(made.root).write_text("mine")
    for act in (lambda: workflow.apply(made), lambda: workflow.bake_share(made, jobs.WHOLE)):
        with pytest.raises(RefusedError, match=r"Cannot make the folder .*baked"):
            act()
    assert kiln.baked(made.root) == {}


_AS_NOBODY = """
import os, sys
from primecoat.cli.main import run
run(["apply", sys.argv[1], "--dry-run"])  # what is loaded late must be readable
if not os.geteuid():  # the administrator may write anywhere
    os.setgid(65534)
    os.setuid(65534)
sys.exit(run(["apply", sys.argv[1]]))
"""


@pytest.mark.parametrize("state_too", [False, True])
def test_a_folder_that_may_not_be_written_in(state_too: bool) -> None:
    """Rights that went away since the plan are noticed before a picture is baked."""
    with tempfile.TemporaryDirectory() as folder:  # one that others may look into
        Path(folder).chmod(0o755)
        made, file = kiln.planned(kiln.tableware(Path(folder) / "tea", 2))
        file.chmod(0o644)
        state = made.root / ".primecoat"
        shutil.rmtree(state)
        if not state_too:
            state.mkdir()
            state.chmod(0o777)
        made.root.chmod(0o555)
        try:
            done = subprocess.run(
                [sys.executable, "-c", _AS_NOBODY, str(file)],
                capture_output=True,
                text=True,
                check=False,
                timeout=60,
                cwd=folder,
                env={**os.environ, "PYTHONPATH": str(kiln.ROOT / "src")},
            )
        finally:
            made.root.chmod(0o755)
        said = done.stderr
        assert done.returncode == 1, said
        assert said.startswith(
            f"primecoat: Cannot write in {made.root}"
            if state_too
            else f"primecoat: Nothing can be written in {made.root}; nothing was changed."
        )
        assert len(said.splitlines()) == 1
        assert not store_of(made.root).exists()
        assert kiln.baked(made.root) == {}


def test_a_full_disk(tmp_path: Path) -> None:
    """No file may grow beyond 100 KB: the large pictures fail by name, the small one is kept."""
    scene = kiln.tableware(tmp_path / "tea", 3, 256)
    kiln.write_dish(scene.parent / "dish1.png", 1, 16)
    made, file = kiln.planned(scene)
    before = s.content(scene.parent)

    def shrink() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    for workers in ("1", "2"):
        child = kiln.primecoat("apply", file, "--json", "--workers", workers, preexec_fn=shrink)
        out, said = child.communicate(timeout=120)
        assert child.returncode == 1, said
        document = json.loads(out)
        assert [f["path"] for f in document["failed"]] == ["dish0.png", "dish2.png"]
        assert all("Cannot write" in f["reason"] for f in document["failed"])
        assert all("room on the disk" in f["remedy"] for f in document["failed"])
        assert [b["source"] for b in document["bakes"]] == ["dish1.png"]
        assert s.content(scene.parent) == before
        assert len(entries(scene.parent)) == 1
    assert len(workflow.apply(made)) == 4
    assert kiln.left_over(scene.parent) == []


def test_two_at_once(tmp_path: Path) -> None:
    """While one process applies, another is refused and told which; shares go on beside it."""
    made, file = kiln.planned(kiln.tableware(tmp_path / "tea", 3, 1024))
    child = kiln.primecoat("apply", file, "--workers", "1")
    lock = made.root / ".primecoat" / "lock"
    kiln.wait_for(lambda: lock.exists() or child.poll() is not None)
    with pytest.raises(RefusedError, match=rf"'apply', process {child.pid} on "):
        workflow.apply(made)
    share = workflow.bake_share(made, jobs.Shard(3, 3))
    assert not share.failed
    _, said = child.communicate(timeout=120)
    assert child.returncode == 0, said
    assert len(kiln.baked(made.root)) == 3
    assert kiln.baked(made.root)[f"dish2_{s.AP1}.exr"] == share.done[2].sha256


def test_threads_change_no_byte(tmp_path: Path) -> None:
    """Codecs with one thread or several give the same file, and the setting is taken back."""
    import OpenImageIO as oiio

    kiln.write_dish(tmp_path / "dish.png", 1, 300)
    pixels = read_pixels(tmp_path / "dish.png")
    usual = [oiio.get_int_attribute(name) for name in ("threads", "exr_threads")]
    made = {}
    for count in (1, 3):
        with codec_threads(count):
            assert oiio.get_int_attribute("threads") == count
            assert oiio.get_int_attribute("exr_threads") == count
            write_pixels(tmp_path / f"{count}.exr", (pixels / 65535).astype("float16"))
        made[count] = (tmp_path / f"{count}.exr").read_bytes()
    assert made[1] == made[3]
    assert [oiio.get_int_attribute(name) for name in ("threads", "exr_threads")] == usual
