"""The only files that a config under check may open: those below its folder and search path.

OpenColorIO opens whatever file a config names. A config from elsewhere could so have any file of
the machine read. Here it asks through a proxy, which hands over files of the
declared folders alone; of all others it only tells whether they exist.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

import PyOpenColorIO as ocio

LARGEST_LUT: Final = 512 * 1024 * 1024
"""Bytes. A 3D LUT of 129 points a side takes about 60 MB as text; ours, to stop a runaway."""

NOT_OPENED: Final = "this file was not opened"
"""What OpenColorIO is given for a file that is kept shut; it says so in its error."""

VARIABLE: Final = re.compile(r"\$\{(\w+)\}|\$(\w+)|%(\w+)%")
"""A variable of the environment as OpenColorIO writes it in paths."""

ABSOLUTE: Final = re.compile(r"[/\\]|[A-Za-z]:[/\\]")
"""How an absolute path begins, on any system."""

State = Literal["there", "missing", "other case", "outside"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What became of one file that a config names.

    Parameters
    ----------
    state
        ``there``; ``missing``; ``other case`` (a file is there whose name differs in upper and
        lower case only); ``outside`` (not where files may be opened, and a place it names is
        neither below the config's folder nor its search path).
    tried
        The paths that were looked at, in order.
    name
        The name on disk, if it differs in case.
    """

    state: State
    tried: tuple[str, ...]
    name: str = ""


class ConfinedFiles(ocio.PyConfigIOProxy):  # type: ignore[misc]
    """Hands a config's text and, from declared folders only, its files to OpenColorIO."""

    def __init__(self, text: str, folder: Path) -> None:
        super().__init__()
        self._text = text
        self.folder = folder.absolute()
        self._allowed: tuple[str, ...] = (os.path.realpath(self.folder),)

    def allow(self, folders: tuple[str, ...]) -> None:
        """Open the folders of a search path as well; relative ones stand in the config's."""
        self._allowed += tuple(os.path.realpath(self.folder / name) for name in folders)

    def within(self, path: str | Path) -> bool:
        """Whether a file lies in a declared folder, links followed."""
        real = os.path.realpath(self.folder / path)
        return any(_below(real, folder) for folder in self._allowed)

    def getConfigData(self) -> str:  # noqa: N802 - the name is OpenColorIO's
        """Return the config's text."""
        return self._text

    def getFastLutFileHash(self, path: str) -> str:  # noqa: N802
        """Return something that changes with the file; empty if it is not there."""
        if not Path(path).is_file():
            return ""
        facts = Path(path).stat()
        return f"{path}:{facts.st_size}:{facts.st_mtime_ns}"

    def getLutData(self, path: str) -> ocio.vector_of_uint8_t:  # noqa: N802
        """Return the bytes of a file, or, for one that is kept shut, words that are no LUT.

        It must be words: where this raises or returns nothing, OpenColorIO 2.6 opens the file
        itself.
        """
        if not self.within(path) or Path(path).stat().st_size > LARGEST_LUT:
            return ocio.vector_of_uint8_t(NOT_OPENED.encode())
        return ocio.vector_of_uint8_t(Path(path).read_bytes())


def locate(files: ConfinedFiles, source: str, search: tuple[str, ...]) -> Found:
    """Return what became of a file that a transform names.

    Parameters
    ----------
    files
        The declared folders.
    source
        Path in the transform, its variables resolved.
    search
        Folders of the search path, their variables resolved.
    """
    folders = () if ABSOLUTE.match(source) else search or (".",)
    tried = tuple(str(files.folder / f / source) for f in folders) or (source,)
    allowed = [path for path in tried if files.within(path)]
    for path in allowed:
        name, folder = Path(path).name, Path(path).parent
        beside = [p.name for p in folder.iterdir()] if folder.is_dir() else []
        if name in beside:
            return Found(state="there", tried=tried)
        for other in sorted(beside):
            if other.casefold() == name.casefold():
                return Found(state="other case", tried=tried, name=other)
    return Found(state="missing" if allowed == list(tried) else "outside", tried=tried)


def _below(path: str, folder: str) -> bool:
    return path == folder or path.startswith(folder.rstrip(os.sep) + os.sep)
