"""The files of a scene that a config misreads, with what to do: what a gate wants to know."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.checks.survey import Survey
from primecoat.config.config_reading import read_config
from primecoat.config.config_rows import ConfigRow, PathReading
from primecoat.reading.asked import Again


@dataclass(frozen=True, slots=True, kw_only=True)
class MisreadFile:
    """A file that a config reads as something else than it is.

    Parameters
    ----------
    image
        Path of its image, as the survey names it.
    where
        Path of the file itself: a tile, a frame, or the same again.
    why, remedy
        Sentences.
    """

    image: str
    where: str
    why: str
    remedy: str


def misread(survey: Survey, config: str) -> tuple[MisreadFile, ...]:
    """Return the files that a config misreads; costs are not worked out.

    Parameters
    ----------
    survey
        The scene, read.
    config
        Built-in name or path.

    Raises
    ------
    InputError
        If the config cannot be loaded or asked.
    """
    again = survey.readings.again
    rows = read_config(survey, config, costs=False).having("misread")
    return tuple(
        MisreadFile(
            image=row.image,
            where=row.file,
            why=why_misread(row, config),
            remedy=remedy_for(row, again),
        )
        for row in rows
    )


def why_misread(row: ConfigRow, config: str) -> str:
    """Return in a sentence how a config reads a file, and how it must be read."""
    path = row.misread_by
    handed = "" if path is row.by_path else f", handed over as {path.reading.path},"
    wanted = " and as ".join(want.reading for want in row.wants)
    return (
        f"It must be read as {wanted}; the config {config}{handed} reads it as {_space(path)}: "
        f"{path.reading.why}."
    )


def remedy_for(row: ConfigRow, again: Again) -> str:
    """Return what to do about a misread file of a target, as a command names that."""
    reading = row.misread_by.reading
    if row.conflict:
        return "Give each of its uses a file of its own."
    if reading.word:
        place = "folder" if reading.in_folder else "file"
        return f"Rename the {place}, or take the path-search rule out of the config."
    return (
        f"Say it in the name ({again.command('plan', '--route', 'tag')}), and take a config "
        "whose file rules know such names (primecoat config write)."
    )


def _space(path: PathReading) -> str:
    name = path.identity.local_name or path.reading.space
    return name if path.reads_as == name else f"{name} ({path.reads_as})"
