"""A disk that loses, at a power cut, any of what was not synced.

The work is done in a real folder. Between any two calls that change the disk the folder is looked
through, so that each call is known by what it changed: names that came and went in one step, and
bytes. What counts as lasting follows POSIX at its barest: the bytes of a file last once that file
is synced, a name in a folder once that folder is synced, and nothing orders what is not synced. So
after each call, :func:`disks_after_a_cut` gives every disk that a cut there could leave: each step
on names since the last sync kept or lost, in every combination, and the bytes of each file that is
not synced as they were, cut in half, or as written.
"""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from primecoat import files

_CALLS = ("fsync", "link", "rename", "replace", "unlink", "rmdir", "mkdir", "chmod", "utime")

Names = Mapping[str, int]
"""Every name under the folder, relative, to the number of its file; folders end with '/'."""


@dataclass(frozen=True)
class Step:
    """What one call changed: names, each to its file's new number or None for gone."""

    changes: tuple[tuple[str, int | None], ...]

    @property
    def folders(self) -> set[str]:
        """Folders that must be synced for this to last."""
        return {_parent(name) for name, _ in self.changes}


@dataclass(frozen=True)
class Disk:
    """What a cut leaves: names to bytes; names that share a number share a file."""

    names: tuple[tuple[str, int], ...]
    bytes_of: tuple[tuple[int, bytes], ...]

    def lay(self, folder: Path) -> None:
        """Write it into a new folder."""
        content, made = dict(self.bytes_of), dict[int, Path]()
        folder.mkdir(parents=True)
        for name, number in sorted(self.names):
            path = folder / name
            if name.endswith("/"):
                path.mkdir()
            elif number in made:
                path.hardlink_to(made[number])
            else:
                path.write_bytes(content[number])
                made[number] = path


class Power:
    """Watches an act on a folder, call by call."""

    def __init__(self, folder: Path, dead: int) -> None:
        self.folder = folder
        self._dead = dead
        self._names = self._look()
        self._lasting = dict(self._names)
        self._pending: list[Step] = []
        self._synced = self._bytes()
        self.disks: list[Disk] = []
        self._seen: set[Disk] = set()
        self.calls = 0

    def watch(self, act: Callable[[], object]) -> list[Disk]:
        """Carry out an act; return every disk that a cut at any of its calls could leave."""
        self._cut()
        with pytest.MonkeyPatch.context() as monkeypatch:
            for name in _CALLS:
                monkeypatch.setattr(os, name, self._seen_by(getattr(os, name), name))
            rename = files._rename_if_free
            monkeypatch.setattr(files, "_rename_if_free", self._seen_by(rename, "rename"))
            monkeypatch.setattr(os, "getpid", lambda: self._dead)  # the lock is of a process gone
            act()
        self._notice()
        self._cut()
        return self.disks

    def _seen_by(self, call: Callable[..., Any], name: str) -> Callable[..., Any]:
        def step(*arguments: Any, **options: Any) -> Any:
            self._notice()
            self._cut()
            if name == "fsync":
                self._sync(arguments[0])
                return None
            result = call(*arguments, **options)
            self._notice()
            self._cut()
            self.calls += 1
            return result

        return step

    def _sync(self, descriptor: int) -> None:
        facts = os.fstat(descriptor)
        path = Path(f"/proc/self/fd/{descriptor}").readlink()
        if not path.is_dir():
            self._synced[facts.st_ino] = path.read_bytes()
            return
        here = "" if path == self.folder else path.relative_to(self.folder).as_posix()
        left = []
        for step in self._pending:
            if step.folders <= {here}:
                _apply(self._lasting, step)
            else:
                left.append(step)
        self._pending = left

    def _notice(self) -> None:
        """Take what changed since the last look as one step."""
        now = self._look()
        changes: list[tuple[str, int | None]] = [
            (n, i) for n, i in now.items() if self._names.get(n) != i
        ]
        changes += [(n, None) for n in self._names.keys() - now.keys()]
        if changes:
            self._pending.append(Step(tuple(changes)))
        self._names = now

    def _look(self) -> dict[str, int]:
        found = {}
        for at, folders, names in os.walk(self.folder):
            for name in (*folders, *names):
                path = Path(at) / name
                shown = path.relative_to(self.folder).as_posix() + "/" * (name in folders)
                found[shown] = path.stat().st_ino
        return found

    def _bytes(self) -> dict[int, bytes]:
        names = {**self._lasting, **self._names}
        return {
            number: (self.folder / name).read_bytes()
            for name, number in names.items()
            if not name.endswith("/") and (self.folder / name).exists()
        }

    def _cut(self) -> None:
        """Keep every disk that a cut now could leave, if it has not been met."""
        written = self._bytes()
        for disk in disks_after_a_cut(self._lasting, self._pending, self._synced, written):
            if disk not in self._seen:
                self._seen.add(disk)
                self.disks.append(disk)


def _apply(names: dict[str, int], step: Step) -> None:
    for name, number in step.changes:
        if number is None:
            names.pop(name, None)
        else:
            names[name] = number


def disks_after_a_cut(
    lasting: Names, pending: list[Step], synced: Mapping[int, bytes], written: Mapping[int, bytes]
) -> Iterator[Disk]:
    """Yield every disk that a power cut could leave.

    Parameters
    ----------
    lasting
        Names that last.
    pending
        Steps on names that do not last yet, in order.
    synced, written
        Bytes of each file when it was last synced, and now.
    """
    for kept in itertools.product((False, True), repeat=len(pending)):
        names = dict(lasting)
        for step in itertools.compress(pending, kept):
            _apply(names, step)
        names = {n: i for n, i in names.items() if _has_its_folders(n, names)}
        numbers = sorted({i for n, i in names.items() if not n.endswith("/")})
        choices = [
            [(number, content) for content in _contents(number, synced, written)]
            for number in numbers
        ]
        for chosen in itertools.product(*choices):
            yield Disk(tuple(sorted(names.items())), tuple(chosen))


def _parent(name: str) -> str:
    return name.rstrip("/").rpartition("/")[0]


def _has_its_folders(name: str, names: Names) -> bool:
    parent = _parent(name)
    return not parent or (f"{parent}/" in names and _has_its_folders(f"{parent}/", names))


def _contents(
    number: int, synced: Mapping[int, bytes], written: Mapping[int, bytes]
) -> list[bytes]:
    old, new = synced.get(number, b""), written.get(number, synced.get(number, b""))
    if old == new:
        return [old]
    torn = old + new[len(old) : (len(old) + len(new)) // 2] if new.startswith(old) else new[:1]
    return list(dict.fromkeys((old, torn, new)))
