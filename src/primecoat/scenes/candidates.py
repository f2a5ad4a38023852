"""For a reference that leads nowhere: the likely cause, and the file that was likely meant.

Nothing is acted on: a candidate is named in the finding, and the artist mends the scene.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from urllib.parse import unquote

from primecoat.scenes.folders import Folders
from primecoat.scenes.placeholders import PLACEHOLDER, has_placeholder, name_pattern

_MISSPELT = re.compile(r"<(udim|uvtile)>", re.IGNORECASE)
_PADDING = re.compile(r"#+|%0\dd")


@dataclass(frozen=True, slots=True)
class Candidate:
    """What was likely meant: the cause in words, and the path as it should be written."""

    cause: str
    path: str


def likely_meant(
    text: str, anchor: Path, roots: Sequence[Path], folders: Folders
) -> Candidate | None:
    """Return the likely cause and file for a reference that leads nowhere.

    Parameters
    ----------
    text
        The reference as the scene means it.
    anchor
        Folder that relative references start from.
    roots
        Folders that may be looked into; nothing outside is.
    folders
        Lister of the run.
    """
    plain = text.replace("\\", "/")
    for cause, other in _rewritings(plain):
        if other != plain and _there(anchor, other, roots, folders):
            return Candidate(cause, other)
    return _alike(plain, anchor, roots, folders) or _elsewhere(plain, anchor, roots, folders)


def _rewritings(text: str) -> list[tuple[str, str]]:
    """Return spellings that may have been meant, each with its cause."""
    name = PurePosixPath(text).name
    return [
        ("it is percent-encoded, and here names stand as they are", unquote(text)),
        (
            "the placeholder is only known in capitals",
            _MISSPELT.sub(lambda m: f"<{m[1].upper()}>", text),
        ),
        ("it begins or ends with a blank", "/".join(part.strip() for part in text.split("/"))),
        ("it ends with a dot", text.rstrip(".")),
        (
            "the name holds a line break or another control character",
            "".join(c for c in text if c.isprintable()),
        ),
        ("it begins with a slash, as if it were absolute", text.lstrip("/")),
        ("the folder is not written", name),
    ]


def _there(anchor: Path, text: str, roots: Sequence[Path], folders: Folders) -> bool:
    wanted = Path(os.path.abspath(anchor / text))
    if not any(wanted.is_relative_to(root) for root in roots):
        return False
    names = folders(wanted.parent)
    if has_placeholder(wanted.name):
        pattern = name_pattern(wanted.name)
        return any(pattern.fullmatch(name) for name in names)
    return wanted.name in names


def _alike(text: str, anchor: Path, roots: Sequence[Path], folders: Folders) -> Candidate | None:
    """Find a near name in the folder that is meant."""
    wanted = Path(os.path.abspath(anchor / text))
    if not any(wanted.is_relative_to(root) for root in roots):
        return None
    names = [name for name, entry in folders(wanted.parent).items() if entry.suffix]
    head = text[: len(text) - len(PurePosixPath(text).name)]

    def only(found: list[str], cause: str) -> Candidate | None:
        return Candidate(cause, head + found[0]) if len(found) == 1 else None

    form = _folded(wanted.name)
    same_letters = [n for n in names if _folded(n) == form]
    same_stem = [n for n in names if _folded(Path(n).stem) == _folded(wanted.stem)]
    counted = _any_padding(wanted.name)
    frames = sorted(n for n in names if counted and counted.fullmatch(n))
    return (
        only(same_letters, "the same letters are stored in another Unicode form")
        or only(same_stem, "the file has another ending")
        or (
            Candidate("the frame numbers have another number of digits", head + frames[0])
            if frames
            else None
        )
    )


def _elsewhere(
    text: str, anchor: Path, roots: Sequence[Path], folders: Folders
) -> Candidate | None:
    """Find the file by the end of its path, then by its name alone, anywhere in the roots."""
    parts = [part for part in PurePosixPath(text).parts if part not in ("/", "..", ".")]
    for root in roots:
        for at in range(len(parts)):
            tail = root.joinpath(*parts[at:])
            if at + 1 < len(parts) and _there(root, "/".join(parts[at:]), roots, folders):
                cause = "the folders before it are those of another place or machine"
                return Candidate(cause, _relative(tail, anchor))
    found = [file for root in roots for file in folders.under(root, parts[-1])] if parts else []
    if len(found) == 1:
        return Candidate("a file of this name lies in another folder", _relative(found[0], anchor))
    if found:
        cause = f"{len(found)} files of this name lie in other folders, one of them here"
        return Candidate(cause, _relative(found[0], anchor))
    return None


def _relative(path: Path, anchor: Path) -> str:
    return Path(os.path.relpath(path, anchor)).as_posix()


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()


def _any_padding(name: str) -> re.Pattern[str] | None:
    """Return a pattern for the names with a frame number of any length; None without one."""
    match = _PADDING.search(name)
    if match is None or PLACEHOLDER.search(name) is None:
        return None
    return re.compile(re.escape(name[: match.start()]) + r"\d+" + re.escape(name[match.end() :]))
