"""Renders handed over to others."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from primecoat.colour.ocio import config_name
from primecoat.config.look_file import CDL_SUFFIXES, LookFile, load_look_file, split_correction
from primecoat.errors import UseError
from primecoat.jobs import Progress, Workplace
from primecoat.renders.handover.kinds import kind_named
from primecoat.renders.handover.recipe import Recipe, Rgb, checked
from primecoat.renders.handover.run import Handover, hand_over_all

CDL_SPACE = "ACEScct"
"""Space that a CDL works in unless told otherwise, and where it does not clamp. Source: ACES
documentation, ACEScct, Appendix A."""


def handover(
    masters: Sequence[Path | str],
    kind: str,
    *,
    out: Path | None = None,
    in_space: str | None = None,
    layer: str = "",
    part: str | None = None,
    leave_out: bool = False,
    number: str = "",
    compression: str = "",
    quality: int = 95,
    profile: bool = False,
    display: str = "",
    view: str = "",
    look: str | None = None,
    look_in: str | None = None,
    look_gives: str | None = None,
    look_clamp: bool = False,
    drop_alpha: bool = False,
    over: Rgb | None = None,
    beyond_half: str = "refuse",
    config: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> Handover:
    """Write files that others read correctly, each read back before it gets its name.

    Parameters
    ----------
    masters
        Files, or patterns of sequences such as ``beauty.####.exr``.
    kind
        Name of a kind: see :data:`primecoat.renders.handover.kinds.KINDS`.
    out
        Folder for the new files; by default one named like the kind, beside the first master.
    in_space
        Space of the masters' numbers; None where the files state it.
    layer, part, leave_out
        Which picture of a file is meant, and whether the rest may be left out.
    number, compression, quality, profile
        How it is stored and stated; empty for the kind's usual way.
    display, view
        What light is seen through; empty for those of the config.
    look
        A look before the view: ``.cc``, ``.cdl``, ``.ccc`` (also ``FILE#ID``), ``.clf`` or a LUT.
    look_in, look_gives, look_clamp
        Spaces that the look works in and gives; whether CDL numbers clamp. A CDL works in ACEScct
        unless told otherwise.
    drop_alpha, over
        Leave alpha out, or put light (ACEScg) behind what it does not cover.
    beyond_half
        ``refuse`` or ``clamp`` light that is not finite or beyond 65504.
    workers
        Number of processes.

    Raises
    ------
    UseError
        If it cannot be carried out as asked.
    InputError
        If no master can be read.
    RefusedError
        If nothing can be handed over safely.
    """
    if beyond_half not in ("refuse", "clamp"):
        raise UseError(f"Nothing is done as {beyond_half!r}.", "Use refuse or clamp.")
    recipe = Recipe(
        kind=kind_named(kind),
        number=number,
        compression=compression,
        quality=quality,
        profile=profile,
        config=config_name(config),
        display=display,
        view=view,
        look=_look(look, look_in, look_gives, clamp=look_clamp),
        drop_alpha=drop_alpha,
        over=over,
        clamp=beyond_half == "clamp",
        leave_out=leave_out,
        space=in_space,
        layer=layer,
        part=part,
    )
    return hand_over_all(
        [str(name) for name in masters],
        checked(recipe),
        out,
        place=Workplace(workers=workers),
        progress=progress,
    )


def _look(
    given: str | None, works_in: str | None, gives: str | None, *, clamp: bool
) -> LookFile | None:
    if given is None:
        if works_in or gives or clamp:
            raise UseError("There is no look to say that of.", "Name it with --look FILE.")
        return None
    path, correction = split_correction(given)
    if path.suffix.lower() in CDL_SUFFIXES:
        return load_look_file(
            path,
            works_in=works_in or CDL_SPACE,
            gives=gives,
            clamp=clamp,
            correction=correction,
        )
    return load_look_file(
        path,
        works_in=works_in,
        gives=gives or works_in,
        clamp=True if clamp else None,
        correction=correction,
    )
