"""The light-path picture of a scene: what a switch of working space does to it, and why."""

from __future__ import annotations

from pathlib import Path

from primecoat import jobs
from primecoat.checks.survey import Survey
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW, check_view
from primecoat.errors import UseError
from primecoat.proof.paths.proof import Proof, prove
from primecoat.proof.paths.sight import Sight
from primecoat.report.proof_pictures import write_proof_pictures

DEFAULT_SIZE = (480, 270)
DEFAULT_SAMPLES = 16


def proof(
    survey: Survey,
    *,
    size: tuple[int, int] = DEFAULT_SIZE,
    samples: int = DEFAULT_SAMPLES,
    causes: int = 8,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    old_view: str | None = None,
    workers: int | None = None,
    tracing: jobs.Progress | None = None,
    splitting: jobs.Progress | None = None,
) -> Proof:
    """Trace a scene in Rec.709 and in AP1, and say where the change comes from.

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
    workers
        Processes to work with; by default all cores where that pays.
    tracing, splitting
        Told how far the pictures, and the causes, are.

    Raises
    ------
    UseError
        If the ray library is not installed, the size is too large, or there is no such view.
    """
    config = survey.readings.config
    names = (old_view or view, view)
    for name in names:
        check_view(display, name, config)
    sights = tuple(Sight(display=display, view=name, config=config) for name in names)
    return prove(
        survey,
        (sights[0], sights[1]),
        size=(size[1], size[0]),
        samples=samples,
        most_causes=causes,
        workplace=jobs.Workplace(workers),
        tracing=tracing,
        splitting=splitting,
    )


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
