"""A new render matched to an old one as it was seen."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from primecoat.colour.ocio import config_name
from primecoat.colour.primaries import Triple
from primecoat.errors import UseError
from primecoat.jobs import Progress
from primecoat.renders.corrections import Said
from primecoat.renders.inputs import Input
from primecoat.renders.match.adjustment import Adjustment
from primecoat.renders.match.files import WrittenLook, check_room, remove_look, write_look
from primecoat.renders.match.look import by_hand, match_renders
from primecoat.renders.match.model import Match
from primecoat.renders.match.old_chain import OldChain, load_old_chain
from primecoat.renders.match.steps import STEPS


def match(
    old: Path | str,
    new: Path | str,
    *,
    old_corrections: Path | str | None = None,
    old_corrections_in: str | None = None,
    old_corrections_gives: str | None = None,
    old_corrections_clamp: bool | None = None,
    in_a: str | None = None,
    in_b: str | None = None,
    view_a: str | None = None,
    view_b: str | None = None,
    display: str | None = None,
    layer_a: str = "",
    layer_b: str = "",
    part_a: str | None = None,
    part_b: str | None = None,
    channels: bool = False,
    up_to: str | None = None,
    out: Path | None = None,
    config: str | None = None,
    progress: Progress | None = None,
) -> Match:
    """Return the numbers that make a new render look as the old one was seen.

    See :func:`primecoat.renders.match.look.match_renders`.

    Parameters
    ----------
    old, new
        Files, or patterns of sequences such as ``beauty.####.exr``.
    old_corrections
        What the old render went through beside its view: a file that
        :func:`primecoat.corrections` reads.
    old_corrections_in, old_corrections_gives, old_corrections_clamp
        What that file does not say itself: the spaces of the numbers that go in and come out, and
        whether CDL numbers clamp.
    in_a, in_b
        Spaces of the numbers of old and new; None where the file states it.
    view_a, view_b
        Views of old and new.
    channels
        Fit numbers for each channel too.
    up_to
        The step to take; None for the recommended one.
    out
        Folder that :func:`save_match` is to fill later: refused at once if it could not be.
    progress
        Told how far it is.
    """
    used = config_name(config)
    if out is not None:
        check_room(out, used)
    if up_to is not None and up_to not in STEPS:
        raise UseError(f"There is no step {up_to!r}.", f"Use one of: {', '.join(STEPS)}.")
    chain = old_chain(
        old_corrections, old_corrections_in, old_corrections_gives, old_corrections_clamp, used
    )
    return match_renders(
        Input(name=str(old), space=in_a, view=view_a, layer=layer_a, part=part_a),
        Input(name=str(new), space=in_b, view=view_b, layer=layer_b, part=part_b),
        corrections=chain,
        display=display,
        channels=channels,
        up_to=next((step for step in STEPS if step == up_to), None),
        config=used,
        progress=progress,
    )


def match_by_hand(
    found: Match,
    *,
    stops: float,
    contrast: float = 1.0,
    saturation: float = 1.0,
    slope: Triple = (1.0, 1.0, 1.0),
    offset: Triple = (0.0, 0.0, 0.0),
    power: Triple = (1.0, 1.0, 1.0),
) -> Match:
    """Return a match whose chosen step holds other numbers, and what is left after them.

    Parameters
    ----------
    found
        What :func:`match` gave.
    stops, contrast, saturation, slope, offset, power
        As in :class:`primecoat.renders.match.adjustment.Adjustment`.
    """
    adjustment = Adjustment(
        stops=stops,
        contrast=contrast,
        saturation=saturation,
        slope=slope,
        offset=offset,
        power=power,
    )
    return by_hand(found, adjustment)


def save_match(found: Match, folder: Path) -> tuple[WrittenLook, ...]:
    """Write the chosen numbers as CDL, CLF and a config with the look, and a picture."""
    return write_look(found, folder)


def take_look_away(written: Iterable[WrittenLook], folder: Path) -> tuple[Path, ...]:
    """Remove the files of a look that :func:`save_match` wrote, and its folder if it is empty.

    Parameters
    ----------
    written
        What :func:`save_match` gave.

    Returns
    -------
    tuple of pathlib.Path
        Files removed; those that are gone already are passed over.

    Raises
    ------
    RefusedError
        If a file was changed since it was written; then none is removed.
    """
    return remove_look(written, folder)


def old_chain(
    file: Path | str | None,
    space: str | None,
    gives: str | None,
    clamp: bool | None,
    config: str,
) -> OldChain | None:
    """Return what an old render went through beside its view; None if nothing is said."""
    if file is not None:
        return load_old_chain(str(file), Said(space=space, gives=gives, clamp=clamp), config)
    if (space, gives, clamp) != (None, None, None):
        raise UseError(
            "Something is said of old corrections that are not given.",
            "Give their file with --old-corrections.",
        )
    return None
