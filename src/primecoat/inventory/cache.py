"""Measures kept between runs, found by size, modification time and inode, then by hash.

The cache is a JSON-lines file in the state folder, and one for each run that added to it since. It
is only ever a saving of time: a line that cannot be used is measured again, and ``verify`` hashes
every file.
"""

from __future__ import annotations

import contextlib
import json
import uuid
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from primecoat.documents import state_lines
from primecoat.errors import InputError, PrimecoatError, RefusedError
from primecoat.files import Identity, folder_lock, replace_bytes, sha256_of, state_folder
from primecoat.images.frozen_document import document_of, restore
from primecoat.images.header import ImageHeader
from primecoat.images.statistics import ImageStatistics
from primecoat.inventory.model import Measure

CACHE_VERSION = 6
"""Raised whenever a measure changes its meaning; lines of other versions are ignored."""

_STEM, _ENDING, _LOCK = "measures", ".jsonl", "measures.lock"

_Line = tuple[list[int], Measure]
"""What identified the file when it was measured, and the measure."""


class MeasureCache:
    """Measures of earlier runs, for one state folder.

    Parameters
    ----------
    home
        Folder beside which the state folder lies.
    verify
        Hash every file again and believe nothing else.
    """

    def __init__(self, home: Path, *, verify: bool = False) -> None:
        self._home = home
        self._verify = verify
        self._new: set[str] = set()
        self._lines: dict[str, _Line] = {}
        self._by_hash: dict[str, Measure] = {}
        self._read: dict[Path, Identity] = {}
        for file in _files(state_folder(home)):
            self._take(file)

    def _take(self, file: Path) -> None:
        """Take the lines of a file into account; those that are new here stand."""
        try:
            identity = Identity.of(file)
            if self._read.get(file) == identity:
                return
            self._read[file] = identity
            for line in state_lines(file):
                self._take_line(line)
        except (OSError, InputError):
            return

    def _take_line(self, line: bytes) -> None:
        with contextlib.suppress(ValueError, TypeError, KeyError, AttributeError, RecursionError):
            version, key, facts, document = json.loads(line)
            if version == CACHE_VERSION and _are_facts(facts):
                measure = _measure(document)
                self._by_hash[measure.sha256] = measure
                if key not in self._new:
                    self._lines[key] = facts, measure

    def get(self, path: Path) -> Measure | None:
        """Return a file's measure if it is known and the file is still the same."""
        known = self._lines.get(str(path))
        try:
            facts = _facts(path)
            if not self._verify and known and known[0] == facts:
                return known[1]
            measure = self._by_hash.get(sha256_of(path)) if self._by_hash else None
        except (OSError, PrimecoatError):
            return None
        if measure is not None and known != (facts, measure):  # next time size and date will do
            self._lines[str(path)] = facts, measure
            self._new.add(str(path))
        return measure

    def put(self, path: Path, measure: Measure) -> None:
        """Keep a measure of a file as it is now, if it will be the same next time."""
        if not measure.sha256 or not measure.lasting:
            return
        try:
            self._lines[str(path)] = _facts(path), measure
            self._new.add(str(path))
        except OSError:
            return

    def save(self, *, only_a_share: bool = False) -> None:
        """Keep what is new; a folder without rights is left alone.

        Several processes may do so at once. Each writes a file of its own that nobody changes;
        one at a time, under the lock, puts them together into one file and then removes them.

        Parameters
        ----------
        only_a_share
            Write a file of its own only; for runs that are one of many.
        """
        whole = {state_folder(self._home) / f"{_STEM}{_ENDING}"}
        if not self._new and (only_a_share or whole >= self._read.keys()):
            return
        try:
            state = state_folder(self._home, create=True)
            if only_a_share:
                self._write(state / f"{_STEM}-{uuid.uuid4().hex}{_ENDING}", self._new)
                return
            with contextlib.suppress(RefusedError), folder_lock(self._home, "survey", name=_LOCK):
                self._put_together(state)
                return
            if self._new:  # another process works here
                self._write(state / f"{_STEM}-{uuid.uuid4().hex}{_ENDING}", self._new)
        except (OSError, RefusedError):
            return

    def _put_together(self, state: Path) -> None:
        for file in _files(state):  # what came while we measured, and the whole anew
            self._take(file)
        whole = state / f"{_STEM}{_ENDING}"
        self._write(whole, self._lines)
        for file in set(self._read) - {whole}:
            file.unlink(missing_ok=True)

    def _write(self, file: Path, keys: Iterable[str]) -> None:
        lines = (
            [CACHE_VERSION, key, facts, _document(measure)]
            for key in sorted(keys)
            for facts, measure in [self._lines[key]]
        )
        text = "".join(json.dumps(line, separators=(",", ":")) + "\n" for line in lines)
        replace_bytes(file, text.encode())


def facts_of(home: Path, path: Path, sha256: str) -> tuple[int, int] | None:
    """Return size and time of change (nanoseconds) that a file had when it had these bytes.

    None if no measure of that state is kept.
    """
    known = MeasureCache(home)._lines.get(str(path))
    if not known or known[1].sha256 != sha256:
        return None
    return known[0][0], known[0][1]


def _files(state: Path) -> list[Path]:
    """Return the files of the cache, the whole first, then the parts that were added since."""
    whole = state / f"{_STEM}{_ENDING}"
    parts = state.glob(f"{_STEM}-*{_ENDING}")
    return [*([whole] if whole.exists() else []), *sorted(parts, key=_age)]


def _age(file: Path) -> tuple[int, str]:
    try:
        return file.stat().st_mtime_ns, file.name
    except OSError:  # put together and removed a moment ago
        return 0, file.name


def _facts(path: Path) -> list[int]:
    identity = Identity.of(path)
    return [identity.size, identity.modified_ns, identity.inode]


def _are_facts(facts: object) -> bool:
    """Whether these are size, time of change in nanoseconds and inode, as a system gives them."""
    if not isinstance(facts, list) or [*map(type, facts)] != [int, int, int]:
        return False
    size, modified_ns, _ = facts
    return bool(size >= 0 and abs(modified_ns) < 2**63)


def _document(measure: Measure) -> dict[str, Any]:
    return {
        "sha256": measure.sha256,
        "header": document_of(measure.header) if measure.header else None,
        "statistics": measure.statistics.as_document() if measure.statistics else None,
        "problem": measure.problem,
    }


def _measure(document: dict[str, Any]) -> Measure:
    header, statistics = document["header"], document["statistics"]
    return Measure(
        sha256=document["sha256"],
        header=restore(ImageHeader, header) if header else None,
        statistics=ImageStatistics.from_document(statistics) if statistics else None,
        problem=document["problem"],
    )
