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
    ``DECLARES`` says whether a colour space can be written into the scene itself; where it
    can not, ``WHY_NOT`` says why in a sentence.
    """

    @property
    def SUFFIXES(self) -> tuple[str, ...]: ...  # noqa: D102, N802
    @property
    def STANDARD(self) -> str: ...  # noqa: D102, N802
    @property
    def DECLARES(self) -> bool: ...  # noqa: D102, N802
    @property
    def WHY_NOT(self) -> str: ...  # noqa: D102, N802

    def read(self, path: Path, name: str) -> Scene:
        """Read a scene file.

        Parameters
        ----------
        path
            The file.
        name
            Its path as shown to the user; every location carries it.

        Raises
        ------
        InputError
            If the file is not what its ending says.
        """

    def claims(self, path: Path) -> bool:
        """Whether a file met in a folder is a scene, where its ending alone does not say so."""

    def edit(self, data: bytes, edits: Sequence[Edit]) -> bytes:
        """Return a scene file's bytes with the edits made and nothing else changed.

        Raises
        ------
        RefusedError
            If the text at a place is not the edit's ``before``.
        """

    def switch_edits(self, path: Path, name: str, to_space: str) -> tuple[Edit, ...]:
        """Return the edits that write a new working space into a scene, and pin what it governs.

        None for a format that names no working space, or a scene that names this one already.

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
