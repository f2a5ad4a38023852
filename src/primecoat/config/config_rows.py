"""What a config makes of a scene, as frozen data: one row a file."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ids import UNKNOWN
from primecoat.config.agreement import Kind, Verdict, reads_as
from primecoat.config.file_reading import FileReading
from primecoat.config.identity import Identity
from primecoat.config.misread_data import DataCost
from primecoat.config.misreading import ColourCost, Window
from primecoat.config.wants import Want


@dataclass(frozen=True, slots=True, kw_only=True)
class PathReading:
    """What a config makes of a file under one path.

    Parameters
    ----------
    reading
        What the file rules say.
    identity
        What the space they name is.
    left_open
        Whether that space says that nobody knows.
    verdict
        Whether that is how the file must be read.
    """

    reading: FileReading
    identity: Identity
    left_open: bool
    verdict: Verdict

    @property
    def reads_as(self) -> str:
        """The reading by what the space does, else the config's own name for it."""
        if self.left_open:
            return UNKNOWN
        return reads_as(self.identity) or self.identity.local_name or self.reading.space


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfigRow:
    """One file, and what a config makes of it.

    Parameters
    ----------
    image
        Path of the image that the file belongs to, as the survey names it.
    file
        Path of the file itself, relative to the root: a tile or a frame, or the same again.
    wanted
        How it must be read; ``unknown`` where that is not known.
    standing
        How firm that is.
    wants
        Each reading that a use of the file wants, with who wants it; more than one cannot be
        served by file rules.
    by_path
        What the config makes of its whole path.
    elsewise
        What it makes of other ways to name the file, where that differs: a program may hand over
        the path as the scene writes it.
    verdict
        The gravest over all paths.
    kind
        Of the misreading; empty if there is none.
    cost
        Of the misreading; None if there is none or it cannot be worked out.
    words
        What is to be added, in sentences: why something cannot be said, that uses conflict.
    """

    image: str
    file: str
    wanted: str
    standing: str
    wants: tuple[Want, ...]
    by_path: PathReading
    elsewise: tuple[PathReading, ...] = ()
    verdict: Verdict
    kind: Kind = ""
    cost: ColourCost | DataCost | None = None
    words: tuple[str, ...] = ()

    @property
    def conflict(self) -> bool:
        """Whether uses of the file want different readings, which one rule cannot give."""
        return len(self.wants) > 1

    @property
    def misread_by(self) -> PathReading:
        """The first path by which it comes to its verdict."""
        paths = (self.by_path, *self.elsewise)
        return next((p for p in paths if p.verdict == self.verdict), self.by_path)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfigReading:
    """What a config makes of a scene.

    Parameters
    ----------
    config
        Built-in name or path.
    window
        Through what costs are seen; None if the config does not say.
    rows
        One for each file, misread ones first.
    silent
        Images that no file rule can speak about, and why.
    """

    config: str
    window: Window | None
    rows: tuple[ConfigRow, ...]
    silent: tuple[tuple[str, str], ...]

    def having(self, verdict: Verdict) -> tuple[ConfigRow, ...]:
        """Return the rows of one verdict."""
        return tuple(row for row in self.rows if row.verdict == verdict)

    @property
    def ready(self) -> bool:
        """Whether no file is misread."""
        return not self.having("misread")
