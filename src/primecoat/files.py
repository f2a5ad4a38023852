"""Safe handling of files: write aside and replace, links, hashes, one lock a folder.

Only this module replaces or removes a file of the user's.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import hashlib
import json
import os
import shutil
import socket
import sys
import tempfile
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from primecoat.errors import InputError, RefusedError
from primecoat.processes import process_is_alive, process_start

STATE_FOLDER = ".primecoat"
"""Name of the folder beside a scene that holds decisions, journal, before-images and cache."""

ASIDE_PREFIX, ASIDE_SUFFIX = ".primecoat-", ".tmp"
"""How the names of files begin and end that are not finished yet; a crash can leave some."""

LinkMethod = Literal["reflink", "hard link", "copy"]

_FICLONE = 0x40049409
"""Linux ioctl that makes a file share another's blocks, copied on write (ioctl_ficlone(2))."""

_AT_FDCWD, _RENAME_NOREPLACE = -100, 1
"""Linux constants of renameat2(2): paths start from the working folder; never replace."""

_held: set[str] = set()
"""Keys of the locks that this process holds or is about to take."""


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
        why = f"Cannot read {path}: {error.strerror}."
        raise InputError(why, "Check that it is there and its rights.") from error


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


def make_folder(folder: Path) -> None:
    """Make a folder if it is not there; its name survives a power cut.

    Raises
    ------
    OSError
        If it cannot be made, or its parent is not there.
    """
    try:
        folder.mkdir()
    except FileExistsError:
        if not folder.is_dir():
            raise
    sync_folder(folder.parent)


def write_aside(folder: Path, data: bytes) -> Path:
    """Write bytes to a temporary file in a folder, synced to disk; return its path."""
    descriptor, name = tempfile.mkstemp(prefix=ASIDE_PREFIX, suffix=ASIDE_SUFFIX, dir=folder)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    return Path(name)


def replace_bytes(path: Path, data: bytes, *, modified_ns: int | None = None) -> None:
    """Put bytes under a name, whole or not at all: write aside, sync, replace, sync.

    The permissions of a file that is replaced are kept; a new one gets the usual ones.
    ``modified_ns`` sets its modification time.
    """
    aside = write_aside(path.parent, data)
    try:
        aside.chmod(path.stat().st_mode & 0o7777 if path.exists() else 0o666 & ~_umask())
        if modified_ns is not None:
            os.utime(aside, ns=(modified_ns, modified_ns))
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


def link_new(source: Path, target: Path, sha256: str) -> LinkMethod:
    """Give a file's content a second, new name: reflink, else hard link, else copy.

    A reflink and a copy have bytes of their own; a hard link shares them, so that a later
    in-place change through either name changes both. A symbolic link is followed first.

    Parameters
    ----------
    sha256
        Hash of the content; a copy is checked against it before it gets its name.

    Raises
    ------
    FileExistsError
        If the target name is taken.
    RefusedError
        If the source changed while it was copied.
    """
    source = source.resolve(strict=True)
    method: LinkMethod = "reflink"
    if not _reflink(source, target):
        try:
            os.link(source, target)
            method = "hard link"
        except FileExistsError:
            raise
        except OSError:
            _copy(source, target, sha256)
            method = "copy"
    sync_folder(target.parent)
    return method


def rename_new(source: Path, target: Path) -> None:
    """Rename a file to a name that is free; never over an existing file.

    A change of case only is allowed where the file system sees both names as one file.
    """
    if not os.path.lexists(target):
        _rename_if_free(source, target)
    elif (
        source.parent == target.parent
        and source.name.lower() == target.name.lower()
        and target not in target.parent.iterdir()  # it is the source under another spelling
    ):
        os.rename(source, target)
    else:
        raise FileExistsError(errno.EEXIST, "the name is taken", str(target))
    sync_folder(target.parent)
    if source.parent != target.parent:
        sync_folder(source.parent)


def sync_file(path: Path) -> None:
    """Make the bytes of a file that another library wrote survive a power cut."""
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())


def remove(path: Path) -> None:
    """Remove one file and make that survive a power cut."""
    path.unlink()
    sync_folder(path.parent)


def sweep_asides(folders: Iterable[Path]) -> None:
    """Remove what a crash left unfinished in some folders; their lock must be held."""
    for folder in folders:
        for left in folder.glob(f"{ASIDE_PREFIX}*{ASIDE_SUFFIX}"):
            if left.is_dir():
                shutil.rmtree(left)
            else:
                left.unlink(missing_ok=True)


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
    """Return the state folder beside a scene; one to write in may hold no link that leads out."""
    state = scene_folder / STATE_FOLDER
    if create:
        try:
            make_folder(state)
            if odd := [p for p in (state, *state.iterdir()) if p.is_symlink() or p.is_fifo()]:
                raise RefusedError(f"{odd[0]} is a link or a pipe.", "Remove it.")
        except OSError as error:
            why = f"Cannot write in {scene_folder}: {error.strerror}."
            raise RefusedError(why, "Give yourself write rights, or work on a copy.") from error
    return state


@contextlib.contextmanager
def folder_lock(scene_folder: Path, verb: str, *, name: str = "lock") -> Iterator[None]:
    """Hold the one lock of a scene's folder, or a lock of another name for one thing in it.

    A lock whose process is gone is taken over, without asking a clock; another host's never is.

    Raises
    ------
    RefusedError
        If another process holds it; the message names that process.
    """
    path = state_folder(scene_folder, create=True) / name
    key = uuid.uuid4().hex
    holder = {"pid": os.getpid(), "host": socket.gethostname(), "verb": verb, "key": key}
    mine = json.dumps(holder | {"start": process_start(os.getpid())}).encode()
    _held.add(key)
    try:
        _take_lock(path, mine)
        yield
    finally:
        _held.discard(key)
        with contextlib.suppress(FileNotFoundError, IsADirectoryError):
            if path.read_bytes() == mine:
                path.unlink()


def _take_lock(path: Path, data: bytes) -> None:
    for _ in range(2):
        aside = write_aside(path.parent, data)
        try:
            _place_new(aside, path)
            return
        except FileExistsError:
            _clear_stale_lock(path)
        finally:
            aside.unlink(missing_ok=True)
    raise RefusedError(f"Cannot take the lock {path}.", "Try again in a moment.")


def _clear_stale_lock(path: Path) -> None:
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return
    except OSError as error:
        why = f"Cannot read the lock {path}: {error.strerror}."
        raise RefusedError(why, "Look at it, and remove it.") from error
    try:
        holder = json.loads(data)
        pid, host, verb = int(holder["pid"]), str(holder["host"]), str(holder["verb"])
        key, start = str(holder.get("key", "")), str(holder.get("start", ""))
        gone = not process_is_alive(pid)
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError):  # no lock of ours
        _take_away(path, data)
        return
    gone = gone or (pid == os.getpid() and key not in _held)  # its number is ours now
    gone = gone or (start != "" and process_start(pid) not in ("", start))  # or somebody else's
    if not gone or host != socket.gethostname():
        raise RefusedError(
            f"Another primecoat works on this folder: '{verb}', process {pid} on {host}.",
            f"Wait until it ends. If it is not there any more, remove {path}.",
        )
    _take_away(path, data)


def _take_away(lock: Path, data: bytes) -> None:
    """Remove a lock if it is the one that was read: another process may have been faster."""
    aside = lock.with_name(f"{ASIDE_PREFIX}{uuid.uuid4().hex}{ASIDE_SUFFIX}")
    try:
        os.rename(lock, aside)
    except FileNotFoundError:
        return
    if aside.read_bytes() != data:
        with contextlib.suppress(FileExistsError):
            _place_new(aside, lock)
    aside.unlink(missing_ok=True)


def _place_new(aside: Path, path: Path) -> None:
    """Give a finished temporary file its name, if that is free, in one step."""
    try:
        os.link(aside, path)
    except OSError:  # the name is taken, or the file system has no hard links
        _rename_if_free(aside, path)


def _rename_if_free(source: Path, target: Path) -> None:
    """Rename in one step that fails if the name is taken, where the system knows that step."""
    if sys.platform.startswith("linux"):
        rename = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
        names = os.fsencode(source), os.fsencode(target)
        if rename and not rename(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _RENAME_NOREPLACE):
            return
        code = ctypes.get_errno() if rename else errno.ENOSYS
        if code not in (errno.EINVAL, errno.ENOSYS):  # this file system does not know it
            raise OSError(code, os.strerror(code), str(target))
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, "the name is taken", str(target))
    os.rename(source, target)


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


def _copy(source: Path, target: Path, sha256: str) -> None:
    aside = write_aside(target.parent, b"")
    try:
        shutil.copyfile(source, aside)
        shutil.copystat(source, aside)
        sync_file(aside)
        if sha256_of(aside) != sha256:
            raise RefusedError(
                f"{source} changed while it was copied; the copy was not kept.",
                "Take the run back with 'primecoat recover --back', then make a new plan.",
            )
        _place_new(aside, target)
    finally:
        aside.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
