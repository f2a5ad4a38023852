"""Measures kept between runs, found by size, modification time and inode, then by hash.

The cache is one JSON-lines file in the state folder. It is only ever a saving of time: a line
that cannot be used is measured again, and ``verify`` hashes every file.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from primecoat.errors import PrimecoatError, RefusedError
from primecoat.files import Identity, replace_bytes, sha256_of, state_folder
from primecoat.images.frozen_document import restore
from primecoat.images.header import ImageHeader
from primecoat.images.statistics import ImageStatistics
from primecoat.inventory.model import Measure

CACHE_VERSION = 6
"""Raised whenever a measure changes its meaning; lines of other versions are ignored."""

_FILE = "measures.jsonl"


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
        self._path = state_folder(home) / _FILE
        self._verify = verify
        self._changed = False
        self._lines: dict[str, tuple[list[int], dict[str, Any]]] = {}
        self._by_hash: dict[str, dict[str, Any]] = {}
        try:
            text = self._path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            return
        for line in text.splitlines():
            try:
                version, key, identity, document = json.loads(line)
                if version == CACHE_VERSION:
                    self._by_hash[_measure(document).sha256] = document
                    self._lines[key] = identity, document
            except (ValueError, TypeError, KeyError, AttributeError):
                continue

    def get(self, path: Path) -> Measure | None:
        """Return a file's measure if it is known and the file is still the same."""
        known = self._lines.get(str(path))
        try:
            facts = _facts(path)
            if not self._verify and known and known[0] == facts:
                return _measure(known[1])
            document = self._by_hash.get(sha256_of(path)) if self._by_hash else None
        except (OSError, PrimecoatError):
            return None
        if document is None:
            return None
        if known != (facts, document):  # next time its size and date will do
            self._lines[str(path)] = facts, document
            self._changed = True
        return _measure(document)

    def put(self, path: Path, measure: Measure) -> None:
        """Keep a measure of a file as it is now."""
        if not measure.sha256:
            return
        header = asdict(measure.header) if measure.header else None
        statistics = measure.statistics.as_document() if measure.statistics else None
        document = {
            "sha256": measure.sha256,
            "header": header,
            "statistics": statistics,
            "problem": measure.problem,
        }
        try:
            self._lines[str(path)] = _facts(path), document
            self._changed = True
        except OSError:
            return

    def save(self) -> None:
        """Write the cache if anything in it is new; a folder without rights is left alone."""
        if not self._changed:
            return
        lines = [
            json.dumps([CACHE_VERSION, key, *line], separators=(",", ":"))
            for key, line in sorted(self._lines.items())
        ]
        try:
            state_folder(self._path.parent.parent, create=True)
            replace_bytes(self._path, ("\n".join(lines) + "\n").encode())
        except (OSError, RefusedError):
            return


def _facts(path: Path) -> list[int]:
    identity = Identity.of(path)
    return [identity.size, identity.modified_ns, identity.inode]


def _measure(document: dict[str, Any]) -> Measure:
    header, statistics = document["header"], document["statistics"]
    return Measure(
        sha256=document["sha256"],
        header=restore(ImageHeader, header) if header else None,
        statistics=ImageStatistics.from_document(statistics) if statistics else None,
        problem=document["problem"],
    )
