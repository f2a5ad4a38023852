"""The one module that replaces and removes files: whole or not at all, never over another."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from primecoat import files, processes
from primecoat.errors import RefusedError
from primecoat.files import (
    append_line,
    create_bytes,
    folder_lock,
    link_new,
    rename_new,
    replace_bytes,
    sha256_of_bytes,
    sweep_asides,
)

OLD, NEW = b"months of work", b"something else"
SHA = sha256_of_bytes(OLD)


def names(folder: Path) -> list[str]:
    """Return what is in a folder, hidden files included."""
    return sorted(entry.name for entry in folder.iterdir())


@pytest.fixture
def work(tmp_path: Path) -> Path:
    """Return a file that must not be lost."""
    path = tmp_path / "work.png"
    path.write_bytes(OLD)
    return path


def occupy(path: Path, kind: str) -> None:
    """Put something under a name."""
    if kind == "file":
        path.write_bytes(NEW)
    elif kind == "folder":
        path.mkdir()
    else:
        path.symlink_to("nowhere")


def test_a_replaced_file_keeps_its_rights_and_takes_the_time_given(work: Path) -> None:
    """Content and time are the new ones, rights the old ones, and no other file is left."""
    work.chmod(0o640)
    replace_bytes(work, NEW, modified_ns=1_000_000_123_000_000_000)
    facts = work.stat()
    assert (work.read_bytes(), facts.st_mode & 0o777) == (NEW, 0o640)
    assert facts.st_mtime_ns == 1_000_000_123_000_000_000
    assert names(work.parent) == ["work.png"]


def test_a_failed_replacement_leaves_nothing_behind(tmp_path: Path) -> None:
    """Where the name is a folder's the bytes written aside are taken away again."""
    (tmp_path / "taken").mkdir()
    with pytest.raises(OSError, match="taken"):
        replace_bytes(tmp_path / "taken", NEW)
    assert names(tmp_path) == ["taken"]


def test_replacing_one_name_of_a_hard_linked_file_leaves_the_other(work: Path) -> None:
    """The artist's second name keeps the old bytes."""
    other = work.with_name("backup.png")
    other.hardlink_to(work)
    replace_bytes(work, NEW)
    assert (work.read_bytes(), other.read_bytes()) == (NEW, OLD)


@pytest.mark.parametrize("links", [True, False], ids=["with links", "without links"])
@pytest.mark.parametrize("kind", ["file", "folder", "dangling link"])
def test_creating_and_linking_never_take_a_name(
    work: Path, kind: str, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever has the name keeps it, also where the file system has no hard links."""
    taken = work.with_name("taken")
    occupy(taken, kind)
    before = names(work.parent), taken.lstat()
    if not links:
        monkeypatch.setattr(os, "link", _no_links)
    with pytest.raises(FileExistsError):
        create_bytes(taken, NEW)
    with pytest.raises(FileExistsError):
        link_new(work, taken, SHA)
    with pytest.raises(FileExistsError):
        rename_new(work, taken)
    after = taken.lstat()
    assert (names(work.parent), after.st_ino) == (before[0], before[1].st_ino)
    assert work.read_bytes() == OLD


def _no_links(*_: object, **__: object) -> None:
    raise OSError(95, "Operation not supported")  # as file systems without hard links answer


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="needs renameat2(2)")
def test_a_name_taken_at_the_last_moment_is_not_renamed_over(
    work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that appears between the look and the renaming keeps its bytes."""
    taken = work.with_name("taken")
    taken.write_bytes(NEW)
    monkeypatch.setattr(os.path, "lexists", lambda _: False)  # a look that came too early
    with pytest.raises(FileExistsError):
        rename_new(work, taken)
    assert (work.read_bytes(), taken.read_bytes()) == (OLD, NEW)


def test_two_names_of_one_file_that_differ_in_case_are_two(work: Path) -> None:
    """A rename onto a hard link of itself would do nothing in silence; it is refused."""
    other = work.with_name("Work.png")
    if other.exists():
        rename_new(work, other)  # one file under two spellings: the name changes
        assert names(work.parent) == ["Work.png"]
        return
    other.hardlink_to(work)
    with pytest.raises(FileExistsError):
        rename_new(work, other)
    assert names(work.parent) == ["Work.png", "work.png"]


def test_a_second_name_shares_or_repeats_the_bytes_and_says_which(work: Path) -> None:
    """A hard link is the same file, a reflink another one; both have the time of the first."""
    target = work.with_name("second.png")
    method = link_new(work, target, SHA)
    assert method in ("reflink", "hard link")
    assert target.samefile(work) == (method == "hard link")
    assert target.stat().st_mtime_ns == work.stat().st_mtime_ns
    assert target.read_bytes() == OLD
    assert names(work.parent) == ["second.png", "work.png"]


def test_a_link_is_followed_before_its_bytes_get_a_second_name(work: Path) -> None:
    """The new name is a file, not a link; the link stays one."""
    link = work.with_name("link.png")
    link.symlink_to(work.name)
    target = work.with_name("second.png")
    link_new(link, target, SHA)
    assert not target.is_symlink()
    assert (target.read_bytes(), link.readlink()) == (OLD, Path("work.png"))


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[Path]:
    """Return a folder on another file system."""
    memory = Path("/dev/shm")
    if not memory.is_dir() or memory.stat().st_dev == tmp_path.stat().st_dev:
        pytest.skip("there is no second file system here")
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


def test_across_file_systems_a_copy_is_made_and_checked(work: Path, elsewhere: Path) -> None:
    """The copy has bytes, rights and time of the original; a copy of other bytes is refused."""
    work.chmod(0o604)
    assert link_new(work, elsewhere / "second.png", SHA) == "copy"
    made, old = (elsewhere / "second.png").stat(), work.stat()
    assert (made.st_mode, made.st_mtime_ns) == (old.st_mode, old.st_mtime_ns)
    assert (elsewhere / "second.png").read_bytes() == OLD
    with pytest.raises(RefusedError, match="changed while it was copied"):
        link_new(work, elsewhere / "third.png", sha256_of_bytes(NEW))
    assert names(elsewhere) == ["second.png"]


def test_only_what_a_crash_left_is_swept(tmp_path: Path) -> None:
    """Unfinished files and folders go; everything of the artist's stays."""
    left = files.write_aside(tmp_path, OLD)
    (tmp_path / ".primecoat-x.tmp").mkdir()
    (tmp_path / ".primecoat-x.tmp" / "a.exr").write_bytes(OLD)
    for name in ("a.tmp", ".primecoat-notes.txt", "primecoat-a.tmp"):
        (tmp_path / name).write_bytes(OLD)
    sweep_asides([tmp_path, tmp_path / "gone"])
    assert not left.exists()
    assert names(tmp_path) == [".primecoat-notes.txt", "a.tmp", "primecoat-a.tmp"]


def test_lines_are_appended_whole(tmp_path: Path) -> None:
    """Every line ends with one line feed on every system."""
    for line in ("one", "zwei ä"):
        append_line(tmp_path / "log", line)
    assert (tmp_path / "log").read_bytes() == "one\nzwei ä\n".encode()


def lock_of(folder: Path, **holder: object) -> Path:
    """Write a lock as if some process had it."""
    (folder / ".primecoat").mkdir()
    path = folder / ".primecoat" / "lock"
    path.write_text(json.dumps(holder))
    return path


def a_gone_process() -> int:
    """Return the number of a process that has ended."""
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    return child.pid


def test_a_live_process_keeps_its_lock_and_is_named(tmp_path: Path) -> None:
    """The message names verb, process and host, and the lock is not touched."""
    child = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    try:
        lock = lock_of(tmp_path, pid=child.pid, host=socket.gethostname(), verb="apply")
        text = lock.read_text()
        with (
            pytest.raises(RefusedError, match=rf"'apply', process {child.pid} on "),
            folder_lock(tmp_path, "undo"),
        ):
            pytest.fail("two at once")
        assert lock.read_text() == text
    finally:
        child.communicate(b"\n")


@pytest.mark.parametrize("who", ["gone", "same number", "damaged", "empty"])
def test_a_stale_lock_is_taken_over(tmp_path: Path, who: str) -> None:
    """A lock whose process is gone goes; also if its number is ours now, as in a container."""
    host = socket.gethostname()
    pid = a_gone_process() if who == "gone" else os.getpid()
    lock = lock_of(tmp_path, pid=pid, host=host, verb="apply")
    if who in ("damaged", "empty"):
        lock.write_text('{"pid": 1' if who == "damaged" else "")
    with folder_lock(tmp_path, "undo"):
        assert json.loads(lock.read_text())["verb"] == "undo"
    assert names(tmp_path / ".primecoat") == []


def test_a_lock_of_another_host_is_never_taken_over(tmp_path: Path) -> None:
    """Nothing here can tell whether a process over there is alive."""
    lock = lock_of(tmp_path, pid=1, host="kiln", verb="apply")
    with pytest.raises(RefusedError, match="on kiln"), folder_lock(tmp_path, "undo"):
        pytest.fail("two at once")
    assert lock.exists()


def test_a_lock_that_somebody_else_took_over_first_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between reading a stale lock and removing it another process can have taken it over."""
    lock = lock_of(tmp_path, pid=a_gone_process(), host=socket.gethostname(), verb="apply")
    theirs = json.dumps({"pid": os.getppid(), "host": socket.gethostname(), "verb": "gate"})
    is_alive = processes.process_is_alive

    def overtaken(pid: int) -> bool:
        alive = is_alive(pid)
        lock.write_text(theirs)
        return alive

    monkeypatch.setattr(files, "process_is_alive", overtaken)
    with pytest.raises(RefusedError, match="'gate'"), folder_lock(tmp_path, "undo"):
        pytest.fail("two at once")
    assert lock.read_text() == theirs
    assert names(tmp_path / ".primecoat") == ["lock"]


def test_of_many_who_want_a_stale_lock_one_at_a_time_gets_it(tmp_path: Path) -> None:
    """Eight threads, forty turns each, a stale lock to begin with: never two inside."""
    lock_of(tmp_path, pid=a_gone_process(), host=socket.gethostname(), verb="apply")
    inside: list[int] = []
    seen: list[int] = []

    def work(number: int) -> None:
        for _ in range(40):
            try:
                with folder_lock(tmp_path, "apply"):
                    inside.append(number)
                    seen.append(len(inside))
                    inside.remove(number)
            except RefusedError:
                continue

    threads = [threading.Thread(target=work, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(seen) == {1}
    assert len(seen) > 40
    assert names(tmp_path / ".primecoat") == []
