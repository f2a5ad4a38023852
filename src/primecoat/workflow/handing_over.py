"""Renders handed over: files made from masters that others read correctly."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from primecoat import jobs
from primecoat.colour.ocio import check_view, config_name, display_reading
from primecoat.colour.ocio.displays import default_view, display_of
from primecoat.config.look_file import CDL_SUFFIXES, LookFile, load_look_file, split_correction
from primecoat.errors import UseError
from primecoat.renders.handover.frame_job import Recipe
from primecoat.renders.handover.kinds import Kind, kind_named, storing
from primecoat.renders.handover.run import Handover, check_first, hand_over_all


def handover(
    masters: Iterable[Path | str],
    kind: str,
    out: Path,
    *,
    in_space: str | None = None,
    layer: str = "",
    part: str | None = None,
    display: str | None = None,
    view: str | None = None,
    look: str | None = None,
    look_in: str | None = None,
    clamp: bool | None = None,
    number: str | None = None,
    compression: str | None = None,
    over_black: bool = False,
    mend: bool = False,
    config: str | None = None,
    workers: int | None = None,
    cluster: str | None = None,
    progress: jobs.Progress | None = None,
) -> Handover:
    """Make one file of each master, and prove it.

    Parameters
    ----------
    masters
        Scene-referred files, or patterns of sequences such as ``beauty.####.exr``.
    kind
        A name of :data:`primecoat.renders.handover.kinds.KINDS`.
    out
        Folder for the files and their list.
    in_space
        Space of the masters' numbers; None where the files state it.
    layer, part
        Layer and part of OpenEXR masters.
    display, view
        Of display kinds; by default the config's display of that space and its default view.
    look
        Look before the view: a file of CDL numbers (``FILE#ID`` for one of several) or a LUT.
    look_in, clamp
        Space that the look works in and gives, and whether its CDL numbers clamp.
    number, compression
        How it is stored; by default the kind's usual way.
    over_black
        Lay colour over black and write no alpha.
    mend
        Store NaN as 0 and what half cannot hold as its limit, and count it.

    Raises
    ------
    UseError
        If something is not said, or what is asked for cannot be.
    """
    used = config_name(config)
    chosen = kind_named(kind)
    where = _seen_on(chosen, display, view, used)
    if look is not None and not chosen.display:
        raise UseError(
            f"{chosen.name} holds scene light, and a look goes before a view.",
            "Leave --look out; hand the look over beside the files.",
        )
    recipe = Recipe(
        kind=chosen,
        storing=storing(chosen, number, compression),
        space=in_space,
        layer=layer,
        part=part,
        display=where[0],
        view=where[1],
        look=None if look is None else _look(look, look_in, clamp),
        over_black=over_black,
        mend=mend,
        config=used,
    )
    names = [str(master) for master in masters]
    check_first(names, recipe)
    return hand_over_all(
        names, recipe, out, workplace=jobs.Workplace(workers, cluster), progress=progress
    )


def _seen_on(kind: Kind, display: str | None, view: str | None, config: str) -> tuple[str, str]:
    if not kind.display:
        if display is not None or view is not None:
            raise UseError(
                f"{kind.name} holds scene light, which goes through no view.",
                "Leave --display and --view out.",
            )
        return "", ""
    shown = display or display_of(kind.space, config)
    seen = view or default_view(shown, config)
    check_view(shown, seen, config)
    ends = display_reading(shown, seen, config)
    if ends != kind.space:
        raise UseError(
            f"The view {seen} of {shown} ends in {ends}, and {kind.name} holds {kind.space}.",
            "Name a display of that space.",
        )
    return shown, seen


def _look(given: str, works_in: str | None, clamp: bool | None) -> LookFile:
    path, correction = split_correction(given)
    is_cdl = path.suffix.lower() in CDL_SUFFIXES
    if works_in is None:
        raise UseError(
            f"{path} does not say which space its look works in.",
            "Name it with --look-in: ACEScct for what 'primecoat match' wrote as CDL, "
            "lin_ap1_scene for its CLF.",
        )
    if is_cdl and clamp is None:
        raise UseError(
            f"{path} does not say whether its CDL clamps to 0 to 1.",
            "Say --no-clamp for what 'primecoat match' wrote, --clamp for one of ASC CDL v1.2.",
        )
    return load_look_file(
        path, works_in=works_in, clamp=clamp if is_cdl else None, correction=correction
    )
