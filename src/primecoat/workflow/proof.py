"""The light-path picture of a scene: what a switch of working space does to it, and why."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from primecoat import jobs
from primecoat.checks.survey import Survey
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW, check_view
from primecoat.errors import UseError
from primecoat.proof.paths.grade import read_grade
from primecoat.proof.paths.kept import Options
from primecoat.proof.paths.outcome import Proof
from primecoat.proof.paths.proof import SEED, Told, kept_proof, prove
from primecoat.proof.paths.sight import Sight
from primecoat.report.proof_pictures import write_proof_pictures

DEFAULT_SIZE = (480, 270)
DEFAULT_SAMPLES = 16
DEFAULT_CAUSES = 8

__all__ = [
    "DEFAULT_CAUSES",
    "DEFAULT_SAMPLES",
    "DEFAULT_SIZE",
    "kept_proof",
    "proof",
    "save_proof",
    "size_named",
]


def proof(
    survey: Survey,
    *,
    size: tuple[int, int] = DEFAULT_SIZE,
    samples: int = DEFAULT_SAMPLES,
    causes: int = DEFAULT_CAUSES,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    old_view: str | None = None,
    match: str | None = None,
    anew: bool = False,
    workers: int | None = None,
    told: Told | None = None,
) -> Proof:
    """Trace a scene in Rec.709 and in AP1, and say where the change comes from.

    A proof of the same scene, pictures, decisions and options is read back from the state folder.

    Parameters
    ----------
    survey
        From :func:`primecoat.survey`.
    size
        Width and height in pixels.
    samples
        Paths for each pixel; rounded up to a multiple of 8.
    causes
        Misread images that are looked at one by one, the others together; 0 to look for none.
    display, view, old_view
        What is looked at, and through what; the old view by default the same.
    match
        What the new picture goes through before its view: the document of ``match --json``, or a
        CDL file that ``match --out`` wrote.
    anew
        Trace it in any case.
    workers
        Processes to work with; by default all cores where that pays.
    told
        Who is told how far it is.

    Raises
    ------
    UseError
        If the ray library is not installed, the size is too large, there is no such view, or the
        match is none.
    """
    config = survey.readings.config
    names = (old_view or view, view)
    for name in names:
        check_view(display, name, config)
    old, new = (Sight(display=display, view=name, config=config) for name in names)
    options = Options(
        sights=(old, replace(new, grade=None if match is None else read_grade(match))),
        size=(size[1], size[0]),
        samples=samples,
        most_causes=causes,
        seed=SEED,
    )
    workplace = jobs.Workplace(workers)
    return prove(survey, options, anew=anew, workplace=workplace, told=told)


def save_proof(found: Proof, folder: Path) -> tuple[Path, ...]:
    """Write the pictures of a proof; see :func:`write_proof_pictures`."""
    return write_proof_pictures(found, folder)


def size_named(text: str) -> tuple[int, int]:
    """Return width and height of a size such as ``480x270``.

    Raises
    ------
    UseError
        If it is no size.

    Examples
    --------
    >>> size_named("480x270")
    (480, 270)
    """
    width, _, height = text.lower().partition("x")
    if not (width.isdigit() and height.isdigit()):
        raise UseError(f"{text!r} is no size.", "Give width x height, such as 480x270.")
    return int(width), int(height)
