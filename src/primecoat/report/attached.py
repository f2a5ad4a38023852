"""Documents on renders of a scene that a report tells too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.documents import Document, parse_json, read_text
from primecoat.errors import InputError, UseError

KINDS = (
    "primecoat.compare/1",
    "primecoat.match/1",
    "primecoat.handover/1",
    "primecoat.card/1",
)
"""What can be attached: what these verbs write with ``--json``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attached:
    """One document.

    Parameters
    ----------
    path
        Where it was read from.
    kind
        One of :data:`KINDS`.
    """

    path: Path
    kind: str
    content: Document


def read_attached(paths: Sequence[Path]) -> tuple[Attached, ...]:
    """Read the documents that a report is to tell too.

    Raises
    ------
    InputError
        If a file cannot be read or is no JSON.
    UseError
        If it is another document than those that can be told.
    """
    return tuple(map(_read, paths))


def _read(path: Path) -> Attached:
    content = parse_json(read_text(path), str(path))
    kind = content.get("document") if isinstance(content, dict) else None
    if kind not in KINDS:
        raise UseError(
            f"{path} cannot be told in a report: it says that it is {kind!r}.",
            f"Give one of: {', '.join(KINDS)}; the verbs write them with --json.",
        )
    return Attached(path=path, kind=kind, content=dict(content))


def not_whole(one: Attached, error: Exception) -> InputError:
    """Return the error on a document that lacks what its kind always has."""
    return InputError(
        f"{one.path} is not a whole {one.kind} document: {type(error).__name__} {error}.",
        "Give the file as primecoat wrote it.",
    )
