"""What a verb prints as a document, and the pages it writes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.files import replace_bytes


def print_document(kind: str, **content: Any) -> None:
    """Print one JSON document of a kind, with the versions it was made by."""
    from primecoat.report.versions import versions

    print(dumps({"document": kind, **versions(), **content}), end="")


def write_new_or_own(path: Path, text: str) -> None:
    """Write a page or sheet where nothing is, or over an older state of itself.

    Raises
    ------
    UseError
        If something else is there, or the folder is not.
    """
    check_folder_of(path)
    if path.exists() and not _is_ours(path, text):
        raise UseError(
            f"{path} is there and was not written by this verb.", "Give another name with --out."
        )
    replace_bytes(path, text.encode())
    print(f"Written: {path}")


def check_folder_of(path: Path) -> None:
    """Refuse a file in a folder that is not there."""
    if not path.parent.is_dir():
        raise UseError(f"There is no folder {path.parent}.", "Make it, or give another --out.")


def _is_ours(path: Path, text: str) -> bool:
    """Whether a file there already is an older state of the page or sheet to be written."""
    try:
        there = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False
    if "<footer>primecoat " in text:
        return "<footer>primecoat " in there
    lines = 2 if text.startswith("{") else 1  # a document names its kind in the second
    return there.splitlines()[:lines] == text.splitlines()[:lines]
