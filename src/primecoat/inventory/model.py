"""The stock of a scene or folder, as frozen data."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.findings import Finding
from primecoat.images.header import ImageHeader
from primecoat.images.statistics import ImageStatistics
from primecoat.scenes.model import ImageReference, ImageUse, Scene


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """What one file was found to be.

    Parameters
    ----------
    sha256
        Hash of its bytes; empty if it could not be read at all.
    header, statistics
        Facts; None where the file cannot be read so far.
    problem
        Why it cannot be read; empty if it can.
    lasting
        Whether the same bytes always give this; not so beyond a limit that can be set.
    """

    sha256: str = ""
    header: ImageHeader | None = None
    statistics: ImageStatistics | None = None
    problem: str = ""
    lasting: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneUse:
    """One use of an image together with the scene and the reference it comes from."""

    scene: Scene
    use: ImageUse
    reference: ImageReference


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageRecord:
    """One image: a file, a set of tiles or frames, or a picture inside a scene file.

    Parameters
    ----------
    path
        As the survey names it: relative to the root, placeholders verbatim.
    name
        The image's own file name; empty for a picture inside a scene file.
    files
        The files on disk, none for a missing or embedded one.
    measures
        One for each file; one for an embedded picture; none for a missing one.
    embedded
        Bytes of a picture inside a scene file.
    """

    path: str
    name: str
    files: tuple[Path, ...] = ()
    uses: tuple[SceneUse, ...] = ()
    measures: tuple[Measure, ...] = ()
    embedded: bytes | None = None
    media_type: str = ""
    problems: tuple[Finding, ...] = ()

    @property
    def members(self) -> tuple[tuple[Path, Measure], ...]:
        """Each file with its measure; none for a picture inside a scene, which has no file."""
        return tuple(zip(self.files, self.measures, strict=False))

    @property
    def header(self) -> ImageHeader | None:
        """Header of the first file that can be read."""
        return next((m.header for m in self.measures if m.header), None)

    @property
    def statistics(self) -> ImageStatistics | None:
        """Pixel statistics of the first file that can be read."""
        return next((m.statistics for m in self.measures if m.statistics), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inventory:
    """Everything found for one target.

    Parameters
    ----------
    target
        The scene file or folder that was asked for.
    roots
        Folders that may be opened; names are relative to the first.
    """

    target: Path
    roots: tuple[Path, ...]
    scenes: tuple[Scene, ...]
    images: tuple[ImageRecord, ...]
    problems: tuple[Finding, ...] = ()

    @property
    def home(self) -> Path:
        """Folder beside which the state folder lies: the scene's, or the target folder."""
        return self.target if self.target.is_dir() else self.target.parent


def shown_path(path: Path, roots: tuple[Path, ...]) -> str:
    """Return a path as it is shown: relative to the first root if it lies in it.

    Examples
    --------
    >>> shown_path(Path("/tea/textures/cup.png"), (Path("/tea"),))
    'textures/cup.png'
    """
    inside = path.is_relative_to(roots[0])
    return (path.relative_to(roots[0]) if inside else path).as_posix()
