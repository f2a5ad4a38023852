"""From a reference in a scene to files on disk, never outside the roots."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.candidates import Candidate, likely_meant
from primecoat.scenes.folders import Folders
from primecoat.scenes.placeholders import has_placeholder, name_pattern

_SCHEME = re.compile(r"^[A-Za-z][A-Za-z0-9+.-]+:")
_LEADS_UP = re.compile(r"^/|^[A-Za-z]:|(?:^|/)\.\.(?:/|$)")
_DRIVE = re.compile(r"^[A-Za-z]:[\\/]")
_SHARE = re.compile(r"^(?:\\\\|//)[^\\/]+[\\/][^\\/]+(?=[\\/])")
_VARIABLE = re.compile(r"\$[A-Za-z_]\w*|\$\{\w+\}|%[A-Za-z_]\w*%")


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolved:
    """What a reference stands for on disk.

    Parameters
    ----------
    path
        The path that was looked for, placeholders verbatim; None where there is nothing to
        look for.
    files
        The files found: one, or one for each tile or frame.
    problem
        Why nothing, or something else than written, was found.
    """

    path: Path | None
    files: tuple[Path, ...] = ()
    problem: Finding | None = None


def default_roots(scene_folder: Path, references: Sequence[str]) -> tuple[Path, ...]:
    """Return where a scene may reach: its folder, or the parent if references stay in that.

    Parameters
    ----------
    scene_folder
        Folder of the scene file.
    references
        The references as the scene means them.
    """
    base = Path(os.path.abspath(scene_folder))
    parent = base.parent
    if parent == parent.parent:
        return (base,)
    meant = dict.fromkeys(r.replace("\\", "/") for r in references if r)
    leading_up = [r for r in meant if _LEADS_UP.search(r)]  # all others stay in the folder
    targets = [Path(os.path.abspath(base / r)) for r in leading_up]
    outside = [t for t in targets if not t.is_relative_to(base)]
    reaches = outside and all(t.is_relative_to(parent) for t in outside)
    return (parent,) if reaches else (base,)


def resolve(
    text: str,
    anchor: Path,
    roots: Sequence[Path],
    where: str,
    location: Location,
    folders: Folders,
) -> Resolved:
    """Find the file or files that a reference stands for.

    Parameters
    ----------
    text
        The reference as the scene means it.
    anchor
        Folder that relative references start from.
    roots
        Folders (absolute) that may be opened; everything else is not touched.
    where
        Name of the image for findings.
    location
        Place of the reference for findings.
    folders
        Lister of the run.
    """

    def problem(name: str, message: str, remedy: str) -> Finding:
        return finding(name, where, message, remedy, location)

    drive = _DRIVE.match(text) is not None and os.name != "nt"
    if _SCHEME.match(text):
        return Resolved(
            path=None,
            problem=problem(
                "reference_is_not_a_local_file",
                f"{text[:80]} is an address, not a file; primecoat never uses the network.",
                "Save the picture beside the scene and refer to that file.",
            ),
        )
    if not text or "\x00" in text:
        return Resolved(
            path=None,
            problem=problem("file_is_missing", "The reference is empty.", "Name a picture."),
        )
    wanted = Path(os.path.abspath(anchor / text.replace("\\", "/")))
    share = _SHARE.match(text) if os.name != "nt" else None
    if not any(wanted.is_relative_to(root) for root in roots):
        meant = likely_meant(text, anchor, roots, folders)
        if share:
            return Resolved(
                path=wanted,
                problem=problem(
                    "file_is_outside_the_root",
                    f"{text} names a share of a Windows network, {share[0]}, which this system "
                    f"does not reach by such a name; it was not opened.{_hint(meant)}",
                    _write(meant)
                    or "Mount the share, and write in the scene the path that it has here, best "
                    "relative to the scene; or put the picture beside the scene.",
                ),
            )
        return Resolved(
            path=wanted,
            problem=problem(
                "file_is_outside_the_root",
                f"{text} leads to {wanted.parent}, outside {roots[0]}; it was not opened."
                + _hint(meant),
                f"If it belongs to the scene, add --root {wanted.parent}. {_write(meant)}".strip(),
            ),
        )
    files, mismatch = _match(wanted, folders(wanted.parent)), False
    if not files:
        files = _other_case(wanted, roots, folders)
        mismatch = bool(files)
    if not files:
        meant = likely_meant(text, anchor, roots, folders)
        variable = _VARIABLE.search(text)
        if variable:
            return Resolved(
                path=wanted,
                problem=problem(
                    "file_is_missing",
                    f"{text} is not there. {variable[0]} in it looks like a variable, and those "
                    "are not filled in: what they hold differs from one machine to the next."
                    + _hint(meant),
                    _write(meant)
                    or f"Write in the scene the path itself in place of {variable[0]}, best "
                    "relative to the scene.",
                ),
            )
        return Resolved(
            path=wanted,
            problem=problem(
                "file_is_missing",
                f"{text} is not there."
                + (" It names a drive, which this system does not have." if drive else "")
                + _hint(meant),
                _write(meant)
                or "Put the file back, or mend the reference in the scene"
                + (": write it relative to the scene, with '/'." if drive else "."),
            ),
        )
    for file in files:
        trouble = link_trouble(file, text, roots, where, location)
        if trouble:
            return Resolved(path=wanted, problem=trouble)
    if mismatch:
        found = os.path.relpath(files[0], anchor).replace(os.sep, "/")
        return Resolved(
            path=wanted,
            files=files,
            problem=problem(
                "file_name_differs_in_case",
                f"The scene says {text}, the file is called {found}: "
                "found on some systems and missing on others.",
                f"Write {found} in the scene; the tag route does so.",
            ),
        )
    if "\\" in text and os.name != "nt":
        return Resolved(
            path=wanted,
            files=files,
            problem=problem(
                "reference_is_not_portable",
                f"The scene says {text}, with backslashes: found on Windows and missing elsewhere.",
                f"Write {text.replace(chr(92), '/')} in the scene; the tag route does so.",
            ),
        )
    return Resolved(path=wanted, files=files)


def _hint(meant: Candidate | None) -> str:
    return f" Likely meant is {meant.path}: {meant.cause}." if meant else ""


def _write(meant: Candidate | None) -> str:
    return f"If that is it, write {meant.path} in the scene." if meant else ""


def link_trouble(
    file: Path, text: str, roots: Sequence[Path], where: str, location: Location
) -> Finding | None:
    """Return why an entry of a folder may not be opened as a file; None if it may.

    Parameters
    ----------
    file
        The entry.
    text
        What the user knows it by.
    roots, where, location
        As for :func:`resolve`.
    """
    try:
        real = file.resolve(strict=True)
    except (OSError, RuntimeError) as error:
        return finding(
            "file_is_missing",
            where,
            f"{text} is a link that leads nowhere or round in a circle "
            f"({getattr(error, 'strerror', None) or 'loop'}).",
            "Replace the link by the file it should lead to.",
            location,
        )
    if not any(real.is_relative_to(root.resolve()) for root in roots):
        return finding(
            "file_is_outside_the_root",
            where,
            f"{text} is a link to {real}, outside {roots[0]}; it was not opened.",
            f"If it belongs to the scene, add --root {real.parent}.",
            location,
        )
    if not real.is_file():
        kind = "a folder" if real.is_dir() else "no ordinary file"
        return finding(
            "file_is_missing",
            where,
            f"{text} is {kind}, where a picture is needed.",
            "Name a picture.",
            location,
        )
    return None


def _match(wanted: Path, names: dict[str, Path]) -> tuple[Path, ...]:
    if wanted.name in names:
        return (names[wanted.name],)
    if has_placeholder(wanted.name):
        pattern = name_pattern(wanted.name)
        return tuple(names[n] for n in sorted(names) if pattern.fullmatch(n))
    return ()


def _other_case(wanted: Path, roots: Sequence[Path], folders: Folders) -> tuple[Path, ...]:
    """Find a file whose path differs from the wanted one only in upper and lower case."""
    root = next(root for root in roots if wanted.is_relative_to(root))
    folder = root
    *parents, name = wanted.relative_to(root).parts
    for part in parents:
        names = folders(folder)
        near = [n for n in names if n.lower() == part.lower()]
        if part not in names and len(near) != 1:
            return ()
        folder = names[part if part in names else near[0]]
    names = folders(folder)
    near = [n for n in names if n.lower() == name.lower()]
    return (names[near[0]],) if len(near) == 1 else _match(folder / name, names)
