"""Safe handling of files: write aside and replace, links, hashes, one lock a folder.

Only this module replaces or removes a file of the user's.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import shutil
import socket
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from primecoat.errors import InputError, RefusedError

STATE_FOLDER = ".primecoat"
"""Name of the folder beside a scene that holds decisions, journal, before-images and cache."""

LinkMethod = Literal["reflink", "hard link", "copy"]

_FICLONE = 0x40049409
"""Linux ioctl that makes a file share another's blocks, copied on write (ioctl_ficlone(2))."""


@dataclass(frozen=True, slots=True)
class Identity:
    """Which file this is and which state it is in, without reading it."""

    device: int
    inode: int
    size: int
    modified_ns: int

    @classmethod
    def of(cls, path: Path) -> Identity:
        """Return the identity of a file (a symbolic link is followed)."""
        facts = path.stat()
        return cls(facts.st_dev, facts.st_ino, facts.st_size, facts.st_mtime_ns)


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal.

    Raises
    ------
    InputError
        If the file cannot be read.
    """
    try:
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise InputError(
            f"Cannot read {path}: {error.strerror}.", "Check that it is there and its rights."
        ) from error


def sha256_of_bytes(data: bytes) -> str:
    """Return the SHA-256 of some bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def sync_folder(folder: Path) -> None:
    """Make the names in a folder survive a power cut (where the system can)."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_aside(folder: Path, data: bytes) -> Path:
    """Write bytes to a temporary file in a folder, synced to disk; return its path."""
    descriptor, name = tempfile.mkstemp(prefix=".primecoat-", suffix=".tmp", dir=folder)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    return Path(name)


def replace_bytes(path: Path, data: bytes) -> None:
    """Put bytes under a name, whole or not at all: write aside, sync, replace, sync.

    The permissions of a file that is replaced are kept; a new one gets the usual ones.
    """
    aside = write_aside(path.parent, data)
    try:
        aside.chmod(path.stat().st_mode & 0o7777 if path.exists() else 0o666 & ~_umask())
        os.replace(aside, path)
    except OSError:
        aside.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def create_bytes(path: Path, data: bytes) -> None:
    """Put bytes under a new name; never over an existing file.

    Raises
    ------
    FileExistsError
        If the name is taken, even by a file that appeared a moment ago.
    """
    aside = write_aside(path.parent, data)
    try:
        aside.chmod(0o666 & ~_umask())
        _place_new(aside, path)
    finally:
        aside.unlink(missing_ok=True)
    sync_folder(path.parent)


def link_new(source: Path, target: Path) -> LinkMethod:
    """Give a file's content a second, new name: reflink, else hard link, else copy.

    A reflink and a copy have bytes of their own; a hard link shares them, so that a later
    in-place change through either name changes both. A symbolic link is followed first.

    Raises
    ------
    FileExistsError
        If the target name is taken.
    """
    source = source.resolve(strict=True)
    if _reflink(source, target):
        sync_folder(target.parent)
        return "reflink"
    try:
        os.link(source, target)
    except FileExistsError:
        raise
    except OSError:
        aside = write_aside(target.parent, b"")
        try:
            shutil.copyfile(source, aside)
            shutil.copystat(source, aside)
            with aside.open("rb+") as stream:
                os.fsync(stream.fileno())
            _place_new(aside, target)
        finally:
            aside.unlink(missing_ok=True)
        sync_folder(target.parent)
        return "copy"
    sync_folder(target.parent)
    return "hard link"


def rename_new(source: Path, target: Path) -> None:
    """Rename a file to a name that is free; never over an existing file.

    A change of case only is allowed where the file system sees both names as one file.
    """
    same = target.exists() and target.samefile(source) and source.name != target.name
    if target.exists() and not (same and source.name.lower() == target.name.lower()):
        raise FileExistsError(errno.EEXIST, "the name is taken", str(target))
    os.rename(source, target)
    sync_folder(target.parent)
    if source.parent != target.parent:
        sync_folder(source.parent)


def remove(path: Path) -> None:
    """Remove one file and make that survive a power cut."""
    path.unlink()
    sync_folder(path.parent)


def append_line(path: Path, line: str) -> None:
    """Append one line to a text file and sync it to disk before returning."""
    is_new = not path.exists()
    with path.open("a", encoding="utf-8", newline="\n") as stream:
        stream.write(line + "\n")
        stream.flush()
        os.fsync(stream.fileno())
    if is_new:
        sync_folder(path.parent)


def writable(folder: Path) -> bool:
    """Whether new files can be made in a folder."""
    return folder.is_dir() and os.access(folder, os.W_OK | os.X_OK)


def state_folder(scene_folder: Path, *, create: bool = False) -> Path:
    """Return the state folder beside a scene."""
    state = scene_folder / STATE_FOLDER
    if create:
        try:
            state.mkdir(exist_ok=True)
        except OSError as error:
            raise RefusedError(
                f"Cannot write in {scene_folder}: {error.strerror}.",
                "Give yourself write rights to the scene's folder, or work on a copy.",
            ) from error
    return state


@contextlib.contextmanager
def folder_lock(scene_folder: Path, verb: str) -> Iterator[None]:
    """Hold the one lock of a scene's folder; a lock whose process is gone is taken over.

    Raises
    ------
    RefusedError
        If another process holds it; the message names that process.
    """
    path = state_folder(scene_folder, create=True) / "lock"
    mine = json.dumps({"pid": os.getpid(), "host": socket.gethostname(), "verb": verb})
    for _ in range(2):
        aside = write_aside(path.parent, mine.encode())
        try:
            _place_new(aside, path)
            break
        except FileExistsError:
            _clear_stale_lock(path)
        finally:
            aside.unlink(missing_ok=True)
    else:
        raise RefusedError(f"Cannot take the lock {path}.", "Try again in a moment.")
    try:
        yield
    finally:
        with contextlib.suppress(FileNotFoundError):
            if path.read_text(encoding="utf-8") == mine:
                path.unlink()


def _clear_stale_lock(path: Path) -> None:
    try:
        holder = json.loads(path.read_text(encoding="utf-8"))
        pid, host, verb = int(holder["pid"]), str(holder["host"]), str(holder["verb"])
    except FileNotFoundError:
        return
    except (ValueError, KeyError, TypeError):
        pid, host, verb = 0, socket.gethostname(), "unknown"
    if host == socket.gethostname() and not _alive(pid):
        path.unlink(missing_ok=True)
        return
    raise RefusedError(
        f"Another primecoat works on this folder: '{verb}', process {pid} on {host}.",
        f"Wait until it ends. If it is not there any more, remove {path}.",
    )


def _alive(pid: int) -> bool:
    if pid <= 0:
        return False
    if sys.platform == "win32":
        import ctypes

        handle = ctypes.windll.kernel32.OpenProcess(0x1000, False, pid)
        if handle:
            ctypes.windll.kernel32.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _place_new(aside: Path, path: Path) -> None:
    """Give a finished temporary file its name, if that is free, in one step."""
    try:
        os.link(aside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links: the check and the rename are two steps
        if path.exists():
            raise FileExistsError(errno.EEXIST, "the name is taken", str(path)) from None
        os.rename(aside, path)


def _reflink(source: Path, target: Path) -> bool:
    if not sys.platform.startswith("linux"):
        return False
    import fcntl

    aside = write_aside(target.parent, b"")
    try:
        with source.open("rb") as reader, aside.open("rb+") as writer:
            fcntl.ioctl(writer.fileno(), _FICLONE, reader.fileno())
            os.fsync(writer.fileno())
        shutil.copystat(source, aside)
        _place_new(aside, target)
    except FileExistsError:
        raise
    except OSError:
        return False
    finally:
        aside.unlink(missing_ok=True)
    return True


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
