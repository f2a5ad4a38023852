"""A config written to a file, once it is proven, and never over a file that is not ours."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from dataclasses import dataclass
from pathlib import Path

import PyOpenColorIO as ocio

from primecoat.colour.ocio import library_version
from primecoat.config.build import build_config
from primecoat.config.content import ConfigContent
from primecoat.config.look_file import files_beside
from primecoat.config.plan_content import WRITTEN_BY
from primecoat.config.read_back import read_back
from primecoat.errors import InputError, RefusedError, UseError
from primecoat.files import (
    create_bytes,
    make_folder,
    remove,
    replace_bytes,
    sha256_of_bytes,
    write_aside,
)
from primecoat.version import __version__

_HEAD = re.compile(rb"\A# Written by Primecoat [^;\n]+; SHA-256 of what follows: ([0-9a-f]{64})\n")


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenConfig:
    """A config that was written, read back and found to say what it was to say.

    Parameters
    ----------
    path
        The config file, absolute.
    content
        What it says.
    beside
        Look files beside it, absolute.
    replaced
        Whether an earlier config of ours stood there.
    processors
        How many conversions, views and looks were built from the file.
    library
        Version of OpenColorIO that read it.
    sha256
        Hash of the file, in hexadecimal.
    """

    path: Path
    content: ConfigContent
    beside: tuple[Path, ...]
    replaced: bool
    processors: int
    library: str
    sha256: str


def write_config(content: ConfigContent, out: Path) -> WrittenConfig:
    """Write a config, and the look files that it needs beside it.

    It gets its name only after a copy beside it was read back and everything in it was built; then
    it is read once more under its name.

    Parameters
    ----------
    content
        What it is to say; see :func:`primecoat.config.plan_content.plan_content`.
    out
        File to write, ending in ``.ocio``; its folder is made if it is not there.

    Raises
    ------
    UseError
        If the name does not end in ``.ocio`` or the folder cannot be made.
    RefusedError
        If a file that is not ours, or that somebody changed since, has the name; or if the config
        is not valid. Nothing was changed then.
    """
    out = Path(os.path.abspath(out))
    if out.suffix.lower() != ".ocio":
        raise UseError(f"{out.name} is no name for a config.", "End it in .ocio.")
    replaces = _may_be_replaced(out)
    data = config_bytes(content)
    folders = _folders_made(out.parent)
    made: list[Path] = []
    try:
        made = _looks_beside(content, out.parent)
        processors = _proven(data, content, out.parent)
        _place(out, data, replaces=replaces)
    except BaseException:
        for path in made:
            remove(path)
        for folder in reversed(folders):
            with contextlib.suppress(OSError):  # something else was put there since
                folder.rmdir()
        raise
    read_back(out, content)
    return WrittenConfig(
        path=out,
        content=content,
        beside=tuple(out.parent / name for _, name in _needed(content)),
        replaced=replaces,
        processors=processors,
        library=library_version(),
        sha256=sha256_of_bytes(data),
    )


def config_bytes(content: ConfigContent) -> bytes:
    """Return a config as the bytes of its file: a line that says whose it is, then its text.

    The line holds the hash of the text, so that a change by hand is seen.

    Raises
    ------
    RefusedError
        If OpenColorIO cannot write it in the profile version of its base.
    """
    try:
        text = str(build_config(content).serialize()).encode()
    except ocio.Exception as error:
        raise RefusedError(
            f"The config made from {content.base} cannot be written: {str(error).splitlines()[0]}",
            "Leave the look or the old view out, or take another base.",
        ) from error
    head = f"# {WRITTEN_BY} {__version__}; SHA-256 of what follows: {sha256_of_bytes(text)}\n"
    return head.encode() + text


def is_ours(data: bytes) -> bool:
    """Whether a file's bytes are a config of ours that nobody has changed since."""
    head = _HEAD.match(data)
    return head is not None and sha256_of_bytes(data[head.end() :]) == head[1].decode()


def _folders_made(folder: Path) -> tuple[Path, ...]:
    """Make a folder and those above it that are not there; return them, the highest first."""
    missing = [one for one in (*reversed(folder.parents), folder) if not one.exists()]
    try:
        for one in missing:
            make_folder(one)
        if not folder.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
    except OSError as error:
        raise UseError(
            f"The folder {folder} cannot be made: {error.strerror}.", "Name another with --out."
        ) from error
    return tuple(missing)


def _may_be_replaced(out: Path) -> bool:
    if not os.path.lexists(out):
        return False
    try:
        data = out.read_bytes() if not out.is_symlink() else b""
    except OSError as error:
        raise InputError(f"Cannot read {out}: {error.strerror}.", "Name another file.") from error
    if is_ours(data):
        return True
    why = "it was changed since" if _HEAD.match(data) else "it is not a config of Primecoat's"
    raise RefusedError(f"{out} is there and is not overwritten: {why}.", "Name another file.")


def _needed(content: ConfigContent) -> tuple[tuple[Path, str], ...]:
    return files_beside(content.old_look, content.look)


def _looks_beside(content: ConfigContent, folder: Path) -> list[Path]:
    """Copy look files beside the config; return those that were not there before."""
    hashes = {look.path: look.sha256 for look in (content.old_look, content.look) if look}
    made: list[Path] = []
    for source, name in _needed(content):
        target = folder / name
        try:
            data = source.read_bytes()
            if sha256_of_bytes(data) != hashes[source]:
                raise RefusedError(f"{source} changed while the config was made.", "Try again.")
            target.parent.mkdir(exist_ok=True)
            if target.exists() and target.read_bytes() == data:
                continue
            create_bytes(target, data)
            made.append(target)
        except FileExistsError as error:
            raise RefusedError(
                f"{target} is there and is another file than {source}.", "Rename the look file."
            ) from error
        except OSError as error:
            raise _cannot_write(target, error) from error
    return made


def _proven(data: bytes, content: ConfigContent, folder: Path) -> int:
    """Read the config back from a copy without its name; return how many processors built."""
    try:
        aside = write_aside(folder, data)
    except OSError as error:
        raise _cannot_write(folder, error) from error
    try:
        return read_back(aside, content)
    finally:
        remove(aside)


def _place(out: Path, data: bytes, *, replaces: bool) -> None:
    try:
        if replaces:
            replace_bytes(out, data)
        else:
            create_bytes(out, data)
    except FileExistsError as error:
        raise RefusedError(f"{out} has just appeared.", "Name another file.") from error
    except OSError as error:
        raise _cannot_write(out, error) from error


def _cannot_write(path: Path, error: OSError) -> RefusedError:
    return RefusedError(
        f"Cannot write {path}: {error.strerror}.", "Give yourself write rights, or name another."
    )
