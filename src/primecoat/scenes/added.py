"""Scene formats that other packages add: found by their metadata, loaded when a file needs one.

A package names a reader under the entry-point group :data:`GROUP`; the name of the entry point is
the file ending without its dot, so that nothing has to be loaded to know what it is for. Whatever
such a reader does wrong becomes one :class:`~primecoat.errors.InputError`, which in a folder is
one finding; the survey goes on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from importlib.metadata import EntryPoint, distributions
from pathlib import Path
from typing import Any, TypeVar

from primecoat.colour.ids import UNKNOWN
from primecoat.errors import InputError, PrimecoatError, RefusedError
from primecoat.scenes.format import SceneFormat
from primecoat.scenes.model import SLOTS, Edit, Scene

GROUP = "primecoat.scene_formats"
"""Group of entry points under which packages name their readers."""

Given = TypeVar("Given")


@cache
def added_endings() -> dict[str, tuple[EntryPoint, ...]]:
    """Return the endings, lower case with the dot, that installed packages read, and by what."""
    found: dict[str, tuple[EntryPoint, ...]] = {}
    seen: set[str] = set()
    for package in distributions():
        try:
            name, points = package.name, package.entry_points.select(group=GROUP)
        except Exception:  # noqa: BLE001 metadata that is damaged is not ours to mend
            continue
        if name in seen:
            continue  # the first one on the path is the one that is imported
        seen.add(name)
        for point in points:
            ending = f".{point.name.lower().lstrip('.')}"
            found[ending] = (*found.get(ending, ()), point)
    return found


def made_by(ending: str) -> str:
    """Return which packages read an ending, with their versions, in words."""
    names = [
        f"{point.dist.name} {point.dist.version}" if point.dist else point.value
        for point in added_endings()[ending]
    ]
    return " and ".join(sorted(names))


class AddedFormat:
    """The reader of another package, behind the names of :class:`SceneFormat`.

    What the reader does not offer is filled in: a reader with ``STANDARD`` and ``read`` alone
    reads scenes that cannot be changed.

    Parameters
    ----------
    ending
        The file ending it was named for.
    """

    def __init__(self, ending: str) -> None:
        self._ending = ending
        self._loaded: Any = None

    @property
    def SUFFIXES(self) -> tuple[str, ...]:  # noqa: D102, N802
        return (self._ending,)

    @property
    def STANDARD(self) -> str:  # noqa: D102, N802
        return str(self._offered("STANDARD", f"{self._ending} scene"))

    @property
    def CHANGED_SUFFIX(self) -> str:  # noqa: D102, N802
        return str(self._offered("CHANGED_SUFFIX", ""))

    @property
    def DECLARES(self) -> bool:  # noqa: D102, N802
        return bool(self._offered("DECLARES", False))

    @property
    def WHY_NOT(self) -> str:  # noqa: D102, N802
        return str(self._offered("WHY_NOT", f"{_capital(self._who)} writes no declarations"))

    def read(self, path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
        """Read a scene; see ``SceneFormat.read``."""
        scene: Scene = self._call("read", None, path, name, roots)
        trouble = self._guarded(lambda: _trouble(scene), "give a scene")
        if trouble:
            raise InputError(
                f"{name} could not be read: {self._who} gave {trouble}.", self._tell_its_makers
            )
        return replace(scene, path=path, name=name, format=self._ending)

    def claims(self, path: Path) -> bool:
        """Whether a file is a scene; one that its reader fails on is, so that this is said."""
        try:
            return bool(self._call("claims", lambda _: True, path))
        except InputError:
            return True

    def changed(
        self, source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()
    ) -> bytes:
        """Return the scene with edits made; see ``SceneFormat.changed``."""
        try:
            data = self._call("changed", None, source, edits, target, roots)
        except InputError as error:
            raise RefusedError(error.message, error.remedy) from error
        if not isinstance(data, bytes):
            raise RefusedError(f"{_capital(self._who)} gave no bytes.", self._tell_its_makers)
        return data

    def switch_edits(
        self, path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
    ) -> tuple[Edit, ...]:
        """Return the edits that write a working space; by default none."""
        return tuple(self._call("switch_edits", lambda *_: (), path, name, to_space, roots))

    def space_name(self, reading: str) -> str:
        """Return the name by which a reading is declared; by default it cannot be."""
        return str(self._call("space_name", lambda _: "", reading))

    def colour_text(self, written: str, colours: Sequence[tuple[float, float, float]]) -> str:
        """Return a value with other colours; by default numbers parted by spaces."""
        usual = lambda _, rows: " ".join(f"{v:.9g}" for row in rows for v in row)  # noqa: E731
        return str(self._call("colour_text", usual, written, colours))

    def reference_text(self, relative_path: str) -> str:
        """Return a path as it is written in the scene; by default as it is."""
        return str(self._call("reference_text", lambda path: path, relative_path))

    @property
    def _who(self) -> str:
        return f"the reader of {self._ending} files from {made_by(self._ending)}"

    @property
    def _tell_its_makers(self) -> str:
        return "Tell its makers; to go on without it, uninstall it."

    def _module(self) -> Any:
        if self._loaded is None:
            points = added_endings()[self._ending]
            if len(points) > 1:
                raise InputError(
                    f"{self._ending} files are read by {made_by(self._ending)}.",
                    "Keep one of them installed.",
                )
            self._loaded = self._guarded(points[0].load, "be loaded")
        return self._loaded

    def _offered(self, what: str, usual: Any) -> Any:
        return getattr(self._module(), what, usual)

    def _call(self, what: str, usual: Callable[..., Any] | None, *given: Any) -> Any:
        function = self._offered(what, usual)
        if function is None:
            raise InputError(
                f"{_capital(self._who)} has no function {what}.", self._tell_its_makers
            )
        return self._guarded(lambda: function(*given), f"do its part ({what})")

    def _guarded(self, work: Callable[[], Given], what: str) -> Given:
        try:
            return work()
        except PrimecoatError:
            raise
        except (Exception, SystemExit) as error:
            words = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
            raise InputError(
                f"{_capital(self._who)} could not {what}: {words[:300]}.", self._tell_its_makers
            ) from error


def added_format(ending: str) -> SceneFormat:
    """Return the format for an ending that an installed package reads."""
    return AddedFormat(ending)


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]


def _trouble(scene: object) -> str:
    """Return what is wrong with what a reader gave; empty if nothing is."""
    if not isinstance(scene, Scene):
        return f"{type(scene).__name__} instead of a Scene"
    for use in scene.uses:
        if not 0 <= use.reference < len(scene.references):
            return "a use of a picture that it does not list"
        if use.slot not in (*SLOTS, UNKNOWN):
            return f"the slot {use.slot!r}, which there is not"
        if not use.channels or set(use.channels) - set("rgba"):
            return f"the channels {use.channels!r}, which are not letters of rgba"
    for colour in (*scene.colours, *scene.lights):
        if len(colour.value) != 3:
            return "a colour that has not three numbers"
    return ""
