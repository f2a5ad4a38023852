"""What a module in ``scenes/formats`` must offer."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from primecoat.scenes.model import Edit, Scene


class SceneFormat(Protocol):
    """A scene format: a module with these names.

    ``SUFFIXES`` are the file endings it reads, lower case with the dot.
    ``STANDARD`` names the standard in words.
    ``CHANGED_SUFFIX`` is the ending of the file that stands beside a changed scene; empty where
    it is the scene's own.
    ``DECLARES`` says whether a colour space can be written into the scene itself; where it
    can not, ``WHY_NOT`` says why in a sentence.
    """

    @property
    def SUFFIXES(self) -> tuple[str, ...]: ...  # noqa: D102, N802
    @property
    def STANDARD(self) -> str: ...  # noqa: D102, N802
    @property
    def CHANGED_SUFFIX(self) -> str: ...  # noqa: D102, N802
    @property
    def DECLARES(self) -> bool: ...  # noqa: D102, N802
    @property
    def WHY_NOT(self) -> str: ...  # noqa: D102, N802

    def read(self, path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
        """Read a scene file.

        Parameters
        ----------
        path
            The file.
        name
            Its path as shown to the user; every location carries it.
        roots
            Folders, absolute, whose files a scene of several layers may open; by default its own
            and the parent of that. A format whose scenes are one file has no need of them.

        Raises
        ------
        InputError
            If the file is not what its ending says.
        """

    def claims(self, path: Path) -> bool:
        """Whether a file met in a folder is a scene, where its ending alone does not say so."""

    def changed(
        self, source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()
    ) -> bytes:
        """Return what makes a scene with the edits made and nothing else changed.

        Either the scene file anew, or a layer that stands above it.

        Parameters
        ----------
        source
            The scene file.
        edits
            Edits at places that reading the scene gave.
        target
            Where the bytes will stand; the scene file itself, if that is to be changed.
        roots
            As for ``read``.

        Raises
        ------
        RefusedError
            If the text at a place is not the edit's ``before``.
        """

    def switch_edits(
        self, path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
    ) -> tuple[Edit, ...]:
        """Return the edits that write a new working space into a scene, and pin what it governs.

        ``path``, ``name`` and ``roots`` are as for ``read``. None for a format that names no
        working space, or a scene that names this one already.

        Raises
        ------
        RefusedError
            If the format has no name for the space, or something it governs cannot be pinned.
        """

    def space_name(self, reading: str) -> str:
        """Return the name by which this format declares a reading; empty if it has none."""

    def colour_text(self, written: str, colours: Sequence[tuple[float, float, float]]) -> str:
        """Return the text of a value with other colours in it, as many as stand there."""

    def reference_text(self, relative_path: str) -> str:
        """Return a path, relative to the scene, as it is written in this format."""
