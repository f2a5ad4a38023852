"""One process a folder: who holds the lock is told, and a lock that nobody holds is known."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from primecoat import files, processes
from primecoat.errors import RefusedError
from primecoat.files import folder_lock
from primecoat.processes import process_start

HERE = socket.gethostname()
_HOLD = (
    "import sys\nfrom pathlib import Path\nfrom primecoat.files import folder_lock\n"
    "with folder_lock(Path(sys.argv[1]), 'apply'):\n    print('held', flush=True)\n    input()"
)
ON_LINUX = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="only Linux tells when a process was started"
)


@pytest.fixture(scope="module")
def held(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, int]]:
    """Return a lock that a real process holds, and that process."""
    folder = tmp_path_factory.mktemp("held")
    child = subprocess.Popen(
        [sys.executable, "-c", _HOLD, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(Path(files.__file__).parents[1])},
    )
    assert child.stdout
    assert child.stdout.readline() == b"held\n"
    yield folder / ".primecoat" / "lock", child.pid
    child.communicate(b"\n")
    assert not (folder / ".primecoat" / "lock").exists()


def lock_of(folder: Path, text: str) -> Path:
    """Write a lock."""
    path = folder / ".primecoat" / "lock"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    return path


def gone() -> int:
    """Return the number of a process that has ended."""
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    return child.pid


def taken_over(folder: Path) -> bool:
    """Whether the lock of a folder can be had; it is as it was if not."""
    lock = folder / ".primecoat" / "lock"
    before = lock.read_bytes()
    said = ""
    try:
        with folder_lock(folder, "undo"):
            assert json.loads(lock.read_text())["verb"] == "undo"
    except RefusedError as error:
        said = str(error)
    if not said:
        assert not lock.exists()
        return True
    assert "Another primecoat works on this folder: 'apply', process " in said
    assert f"remove {lock}." in said
    assert lock.read_bytes() == before
    return False


@pytest.mark.parametrize("seconds", [0, 4_000_000_000], ids=["long ago", "in the future"])
def test_no_clock_decides(held: tuple[Path, int], seconds: int) -> None:
    """A lock of a live process stands however old it looks, as through a share whose clock errs."""
    lock, pid = held
    os.utime(lock, (seconds, seconds))
    with pytest.raises(RefusedError, match=rf"'apply', process {pid} on {HERE}\."):
        folder_lock(lock.parents[1], "undo").__enter__()
    assert json.loads(lock.read_text())["pid"] == pid


def test_a_lock_just_written_by_a_process_now_gone(tmp_path: Path) -> None:
    """Nor does it stand for being new, or of a time that is still to come."""
    for seconds in (None, (4_000_000_000, 4_000_000_000)):
        words = {"pid": gone(), "host": HERE, "verb": "apply", "key": "k", "start": "b/1"}
        os.utime(lock_of(tmp_path, json.dumps(words)), seconds)
        assert taken_over(tmp_path)


@ON_LINUX
def test_a_number_that_another_process_has_now(held: tuple[Path, int], tmp_path: Path) -> None:
    """The process has the number of the holder, and was started at another time: it is stale."""
    words = json.loads(held[0].read_text())
    boot, start = words["start"].split("/")
    other = tmp_path / "other"
    other.mkdir()
    for stale in (f"{boot}/{int(start) - 1}", f"another-boot/{start}"):
        lock_of(other, json.dumps(words | {"start": stale}))
        assert taken_over(other)
    lock_of(other, json.dumps(words))
    assert not taken_over(other)


@ON_LINUX
def test_the_start_of_a_process_is_what_the_system_says() -> None:
    """Source: field 22 of proc_pid_stat(5), here by a count of its own; ps(1) reads the same."""
    stat = Path(f"/proc/{os.getpid()}/stat").read_text().split(") ")[-1]
    boot = Path("/proc/sys/kernel/random/boot_id").read_text().strip()
    assert process_start(os.getpid()) == f"{boot}/{stat.split(' ')[22 - 3]}"
    assert process_start(os.getpid()) != process_start(1)
    assert process_start(gone()) == ""


@pytest.mark.parametrize("old", [True, False], ids=["of an older version", "unknown here"])
def test_where_the_start_is_not_known_a_live_number_counts(
    held: tuple[Path, int], tmp_path: Path, old: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In doubt the lock stands: on systems that do not tell, and for locks that do not say."""
    words = json.loads(held[0].read_text())
    if old:
        del words["start"]
    else:
        monkeypatch.setattr(files, "process_start", lambda _: "")
    other = tmp_path / "other"
    other.mkdir()
    lock_of(other, json.dumps(words))
    assert not taken_over(other)


@pytest.mark.parametrize("pid", [1, 2**22 + 1])
def test_another_host_on_a_shared_drive(tmp_path: Path, pid: int) -> None:
    """Its lock stands whatever is here under that number; the message names that host."""
    words = {"pid": pid, "host": "kiln-2", "verb": "apply", "key": "k", "start": "boot/7"}
    lock_of(tmp_path, json.dumps(words))
    assert not taken_over(tmp_path)
    with pytest.raises(RefusedError, match=rf"process {pid} on kiln-2\. "):
        folder_lock(tmp_path, "undo").__enter__()


@pytest.mark.parametrize(
    "text",
    [
        b"\xff\xfe",
        b"[" * 100_000,
        b"null",
        b'{"pid": 1e999, "host": "a", "verb": "b"}',
        b'{"pid": 9999999999999999999999, "host": "a", "verb": "b"}',
        b'{"pid": "first", "host": "a", "verb": "b"}',
    ],
    ids=["bytes", "deep", "null", "endless", "huge", "word"],
)
def test_what_is_no_lock_of_ours_stops_nobody(tmp_path: Path, text: bytes) -> None:
    """Locks are put in place whole, so such a file was written by no primecoat."""
    lock_of(tmp_path, "").write_bytes(text)
    assert taken_over(tmp_path)


def test_a_folder_in_the_place_of_the_lock(tmp_path: Path) -> None:
    """It is told and left alone."""
    lock = tmp_path / ".primecoat" / "lock"
    (lock / "mine").mkdir(parents=True)
    with pytest.raises(RefusedError, match=r"Cannot read the lock .*: Is a directory"):
        folder_lock(tmp_path, "undo").__enter__()
    assert (lock / "mine").is_dir()
    assert [path.name for path in lock.parent.iterdir()] == ["lock"]


def test_a_state_folder_that_cannot_be_made(tmp_path: Path) -> None:
    """A file under its name is told and left."""
    (tmp_path / ".primecoat").write_bytes(b"mine")
    with pytest.raises(RefusedError, match=f"Cannot write in {tmp_path}: File exists"):
        folder_lock(tmp_path, "undo").__enter__()
    assert (tmp_path / ".primecoat").read_bytes() == b"mine"


@pytest.mark.parametrize("name", ["", "journal.jsonl", "before", "decisions.json"])
def test_a_link_in_the_place_of_state_is_not_followed(tmp_path: Path, name: str) -> None:
    """A scene from elsewhere may bring a state folder that leads out of it."""
    scene, outside = tmp_path / "scene", tmp_path / "outside"
    outside.mkdir()
    state = scene / ".primecoat"
    (state if name else scene).mkdir(parents=True)
    (state / name if name else state).symlink_to(outside)
    with pytest.raises(RefusedError, match=r"is a link"), folder_lock(scene, "apply"):
        pass
    assert list(outside.iterdir()) == []


def test_a_stale_lock_that_was_removed_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the look and the taking away somebody else was faster: it is free."""
    lock = lock_of(tmp_path, json.dumps({"pid": gone(), "host": HERE, "verb": "apply"}))
    is_alive = processes.process_is_alive

    def removed(pid: int) -> bool:
        lock.unlink()
        return is_alive(pid)

    monkeypatch.setattr(files, "process_is_alive", removed)
    with folder_lock(tmp_path, "undo"):
        assert json.loads(lock.read_text())["verb"] == "undo"
    assert not lock.exists()


def test_a_lock_that_was_given_back_before_it_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its holder ended between the attempt and the look: the next attempt succeeds."""
    lock = lock_of(tmp_path, json.dumps({"pid": os.getppid(), "host": HERE, "verb": "apply"}))
    clear = files._clear_stale_lock

    def ended_first(path: Path) -> None:
        lock.unlink()
        clear(path)

    monkeypatch.setattr(files, "_clear_stale_lock", ended_first)
    with folder_lock(tmp_path, "undo"):
        assert json.loads(lock.read_text())["verb"] == "undo"
    assert not lock.exists()


def test_locks_that_keep_coming_and_dying(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After two attempts it is said; nobody waits for ever."""
    words = json.dumps({"pid": gone(), "host": HERE, "verb": "apply"})
    lock = lock_of(tmp_path, words)
    take_away = files._take_away

    def and_another(path: Path, data: bytes) -> None:
        take_away(path, data)
        lock.write_text(words)

    monkeypatch.setattr(files, "_take_away", and_another)
    with pytest.raises(RefusedError, match="Cannot take the lock"):
        folder_lock(tmp_path, "undo").__enter__()
    assert lock.read_text() == words
    assert [path.name for path in lock.parent.iterdir()] == ["lock"]


def test_a_lock_that_was_removed_by_hand(tmp_path: Path) -> None:
    """Giving back what is not there, or is somebody else's by now, disturbs nobody."""
    with folder_lock(tmp_path, "apply"):
        (tmp_path / ".primecoat" / "lock").unlink()
    with folder_lock(tmp_path, "apply"):
        lock = lock_of(tmp_path, '{"pid": 1}')
    assert lock.read_text() == '{"pid": 1}'
