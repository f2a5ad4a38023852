"""What a file system can do to us: no hard links, no one-step rename, no rights, other systems."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from primecoat import files
from primecoat.errors import InputError
from primecoat.files import (
    create_bytes,
    link_new,
    make_folder,
    rename_new,
    replace_bytes,
    sha256_of,
    sha256_of_bytes,
    sync_folder,
)

OLD, NEW = b"months of work", b"something else"
SHA = sha256_of_bytes(OLD)
ON_LINUX = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="these are Linux calls")


@pytest.fixture
def work(tmp_path: Path) -> Path:
    """Return a file that must not be lost."""
    path = tmp_path / "work.png"
    path.write_bytes(OLD)
    return path


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    """One line says which and why."""
    with pytest.raises(InputError, match=r"Cannot read .*gone\.png: No such file"):
        sha256_of(tmp_path / "gone.png")
    with pytest.raises(InputError, match="Is a directory"):
        sha256_of(tmp_path)


def test_a_folder_is_made_once_and_not_over_a_file(work: Path) -> None:
    """One that is there is left; a file of its name is left too, and told."""
    folder = work.with_name("state")
    make_folder(folder)
    (folder / "mine").touch()
    make_folder(folder)
    assert names(folder) == ["mine"]
    with pytest.raises(FileExistsError):
        make_folder(work)
    assert work.read_bytes() == OLD


def test_a_file_moved_to_another_folder(work: Path) -> None:
    """Both folders are synced: neither the old name nor the new one is lost at a power cut."""
    target = work.parent / "kept" / "work.png"
    target.parent.mkdir()
    synced: list[Path] = []
    with pytest.MonkeyPatch.context() as monkeypatch:
        monkeypatch.setattr(files, "sync_folder", synced.append)
        rename_new(work, target)
    assert synced == [target.parent, work.parent]
    assert (target.read_bytes(), names(work.parent)) == (OLD, ["kept"])


def test_a_change_of_case_where_case_does_not_count(
    work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There the new name is answered for by the old one, and is not listed: it is renamed."""
    target = work.with_name("Work.png")
    monkeypatch.setattr(os.path, "lexists", lambda path: True)
    rename_new(work, target)
    assert (names(work.parent), target.read_bytes()) == (["Work.png"], OLD)


def _refusing(code: int) -> Callable[..., None]:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    return refuse


@ON_LINUX
def test_without_hard_links_a_new_file_still_gets_its_name(
    work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By a one-step rename then; a second name becomes a copy."""
    monkeypatch.setattr(os, "link", _refusing(errno.EPERM))  # what link(2) answers on FAT
    create_bytes(work.with_name("new"), NEW)
    assert link_new(work, work.with_name("second"), SHA) == "copy"
    contents = {name: (work.parent / name).read_bytes() for name in names(work.parent)}
    assert contents == {"new": NEW, "second": OLD, "work.png": OLD}


class _Library:
    """A C library whose one-step rename fails, or that knows none."""

    def __init__(self, code: int | None) -> None:
        self._code = code

    def __getattr__(self, name: str) -> Callable[..., int]:
        if self._code is None:
            raise AttributeError(name)

        def rename(*_: object) -> int:
            ctypes.set_errno(self._code or 0)
            return -1

        return rename


@ON_LINUX
@pytest.mark.parametrize("code", [errno.EINVAL, errno.ENOSYS, None])
def test_without_a_one_step_rename_it_is_looked_and_renamed(
    work: Path, code: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An old kernel, an old C library or a file system that knows no such step: names still win."""
    monkeypatch.setattr(ctypes, "CDLL", lambda *_, **__: _Library(code))
    target, taken = work.with_name("new"), work.with_name("taken")
    taken.symlink_to("nowhere")
    with pytest.raises(FileExistsError):
        files._rename_if_free(work, taken)
    assert work.read_bytes() == OLD
    rename_new(work, target)
    assert (target.read_bytes(), names(work.parent)) == (OLD, ["new", "taken"])


@ON_LINUX
def test_a_one_step_rename_that_fails_is_told(work: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that may not be written is no reason to try by two steps."""
    monkeypatch.setattr(ctypes, "CDLL", lambda *_, **__: _Library(errno.EROFS))
    with pytest.raises(OSError, match="Read-only file system"):
        rename_new(work, work.with_name("new"))
    assert names(work.parent) == ["work.png"]


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_other_systems_have_neither_of_these_calls(
    work: Path, system: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There names are looked for and taken, and a second name is a hard link; none is lost."""
    monkeypatch.setattr(sys, "platform", system)
    taken = work.with_name("taken")
    taken.write_bytes(NEW)
    with pytest.raises(FileExistsError):
        rename_new(work, taken)
    assert link_new(work, work.with_name("second"), SHA) == "hard link"
    rename_new(work, work.with_name("new"))
    assert (work.with_name("new").read_bytes(), taken.read_bytes()) == (OLD, NEW)
    assert work.with_name("second").samefile(work.with_name("new"))


def test_folders_are_not_synced_where_that_cannot_be_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows opens no folder: nothing is asked of it there; elsewhere a lost folder is told."""
    with pytest.raises(FileNotFoundError):
        sync_folder(tmp_path / "gone")
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr(os, "open", _refusing(errno.EACCES))
    sync_folder(tmp_path)


@ON_LINUX
def test_a_file_that_shares_blocks_is_a_file_of_its_own(
    work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the file system can, a second name is a reflink; here the system call is played.

    Source of its number and meaning: ioctl_ficlone(2), FICLONE = _IOW(0x94, 9, int).
    """
    import fcntl

    def clone(descriptor: int, request: int, source: int) -> int:
        assert request == (1 << 30) | (4 << 16) | (0x94 << 8) | 9
        os.write(descriptor, os.pread(source, 1 << 20, 0))
        return 0

    monkeypatch.setattr(fcntl, "ioctl", clone)
    os.utime(work, (1, 1))
    work.chmod(0o604)
    second = work.with_name("second")
    assert link_new(work, second, SHA) == "reflink"
    assert not second.samefile(work)
    facts = second.stat()
    assert (second.read_bytes(), facts.st_mtime, facts.st_mode & 0o777) == (OLD, 1, 0o604)
    with pytest.raises(FileExistsError):
        link_new(work, second, SHA)
    assert names(work.parent) == ["second", "work.png"]


def test_a_new_file_gets_the_usual_rights(tmp_path: Path) -> None:
    """Those that any program would give it here, not those of a temporary file."""
    usual = tmp_path / "usual"
    usual.touch()
    for name, put in (("one", create_bytes), ("two", replace_bytes)):
        put(tmp_path / name, NEW)
        assert (tmp_path / name).stat().st_mode == usual.stat().st_mode
