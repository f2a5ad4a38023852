"""Corrections from a file: CDL numbers, a look-up file, a list of transforms, simple entries.

What a file does not say itself is asked for: no CDL or look-up file names the space that it works
in, a look-up file not the space it gives, CDL numbers not whether they clamp.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.colour.ids import DATA
from primecoat.colour.ocio import load_config
from primecoat.colour.ocio.look_guard import refuse_elsewhere
from primecoat.colour.ocio.transforms import is_display_space, read_steps, run_cdl, run_file
from primecoat.config.identify import identify
from primecoat.config.look_file import (
    CDL_SUFFIXES,
    LUT_SUFFIXES,
    load_look_file,
    split_correction,
)
from primecoat.documents import read_text
from primecoat.errors import InputError, UseError
from primecoat.renders.corrections.entries import Entry, read_csv, read_toml
from primecoat.renders.corrections.model import Chain, Correction, Run

LIST_SUFFIXES = (".ocio", ".yaml", ".yml")
"""Files that hold a list of OpenColorIO transforms."""

ENTRY_SUFFIXES = {".toml": read_toml, ".csv": read_csv}
"""Files that hold simple entries, and what reads them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a person says about a file, for all that it does not say itself.

    Parameters
    ----------
    space
        Space of the numbers that go in.
    gives
        Space of the numbers that come out.
    clamp
        Whether CDL numbers clamp to 0 to 1, as ASC CDL v1.2 says.
    """

    space: str | None = None
    gives: str | None = None
    clamp: bool | None = None


def load_corrections(given: str, said: Said, config: str) -> Chain:
    """Read the corrections of a file, in the order that they act in.

    Parameters
    ----------
    given
        The file; ``FILE#ID`` names one correction of several in a file of CDL numbers.
    said
        What a person says about it.
    config
        OpenColorIO config whose spaces are named.

    Raises
    ------
    UseError
        If something is not said, or a space is not known.
    InputError
        If the file cannot be read.
    """
    path, correction = split_correction(given)
    suffix = path.suffix.lower()
    if suffix in (*CDL_SUFFIXES, *LUT_SUFFIXES):
        found: tuple[Correction, ...] = (_of_look(path, correction, said, config),)
    elif suffix in LIST_SUFFIXES:
        found = _of_list(path, said, config)
    elif suffix in ENTRY_SUFFIXES:
        entries = ENTRY_SUFFIXES[suffix](read_text(path), path)
        found = tuple(_of_entry(entry, path, said, config) for entry in entries)
    else:
        known = ", ".join((*CDL_SUFFIXES, *LUT_SUFFIXES, *LIST_SUFFIXES, *ENTRY_SUFFIXES))
        raise UseError(f"{path} holds no corrections that can be read.", f"Give one of: {known}.")
    return Chain(path=path, corrections=found, config=config)


def _of_look(path: Path, correction: str | None, said: Said, config: str) -> Correction:
    is_cdl = path.suffix.lower() in CDL_SUFFIXES
    if not said.space:
        raise _no_space(path)
    if is_cdl and said.clamp is None:
        raise UseError(
            f"{path} does not say whether its CDL clamps to 0 to 1.",
            "Say --clamp if the old program kept to ASC CDL v1.2, --no-clamp if highlights above "
            "1 came through (in a list of entries: clamp).",
        )
    if not is_cdl and not said.gives:
        raise UseError(
            f"{path} does not say which colour space it gives.",
            "Name the space of the numbers that come out, such as srgb_rec709_display or the "
            "space it works in: --gives SPACE (in a list of entries: gives).",
        )
    look = load_look_file(
        path, works_in=said.space, gives=said.gives, clamp=said.clamp, correction=correction
    )
    if look.cdl is None:
        run = run_file(path, path.read_bytes(), config)
        return _between(path.name, run, look.works_in, look.gives, config)
    cdl = look.cdl
    run = run_cdl(
        cdl.slope, cdl.offset, cdl.power, cdl.saturation, clamp=bool(look.clamp), config=config
    )
    return _between(look.title, run, look.works_in, look.gives, config, clamp=look.clamp)


def _of_list(path: Path, said: Said, config: str) -> tuple[Correction, ...]:
    if said.clamp is not None:
        raise UseError(
            f"Each CDL in {path} says by its style whether it clamps.",
            "Leave the clamping unsaid; write style: asc or style: noclamp there.",
        )
    text = read_text(path)
    if "ocio_profile_version" in text:
        raise UseError(
            f"{path} is a whole config, and which of its transforms are corrections is not said.",
            "Give a file with the list of those transforms only.",
        )
    steps = read_steps(text, path, config)
    if not said.space and steps[0].source is None:
        raise _no_space(path)
    look_ups = [step for step in steps if step.look_up]
    if look_ups and not said.gives:
        raise UseError(
            f"{path} reads look-up files, which do not say the space that they give.",
            "Name the space that the list ends in, such as srgb_rec709_display or the space it "
            "works in: --gives SPACE.",
        )
    found: list[Correction] = []
    space = said.space or str(steps[0].source)
    for step in steps:
        works_in = step.source or space
        space = step.target or works_in
        if said.gives and look_ups and step is look_ups[-1]:
            space = said.gives
        found.append(_between(step.name, step.run, works_in, space, config, converts=step.converts))
    if said.gives and _named(said.gives, config) != found[-1].gives:
        raise UseError(
            f"{path} ends in {found[-1].gives}, not in {said.gives}.",
            "Leave --gives away, or name that space.",
        )
    return tuple(found)


def _of_entry(entry: Entry, path: Path, said: Said, config: str) -> Correction:
    space = entry.space or said.space
    gives = entry.gives or (said.gives if not entry.space else None)
    if not space:
        raise _no_space(path, entry.place)
    if entry.file is not None:
        own = Said(
            space=space, gives=gives, clamp=said.clamp if entry.clamp is None else entry.clamp
        )
        file, correction = split_correction(str(path.parent / entry.file))
        refuse_elsewhere(path, file)
        if file.suffix.lower() not in (*CDL_SUFFIXES, *LUT_SUFFIXES):
            raise InputError(
                f"{path}, {entry.place}, names {entry.file}, which is no CDL or look-up file.",
                f"Name one of: {', '.join((*CDL_SUFFIXES, *LUT_SUFFIXES))}.",
            )
        if file.suffix.lower() in LUT_SUFFIXES:
            own = Said(space=space, gives=gives)
        return _of_look(file, correction, own, config)
    assert entry.run is not None
    return _between(entry.name, entry.run, space, gives or space, config)


def _between(
    name: str,
    run: Run,
    works_in: str,
    gives: str,
    config: str,
    *,
    converts: bool = False,
    clamp: bool | None = None,
) -> Correction:
    works_in, gives = _named(works_in, config), _named(gives, config)
    return Correction(
        name=name,
        run=run,
        works_in=works_in,
        gives=gives,
        on_display=(is_display_space(works_in, config), is_display_space(gives, config)),
        converts=converts,
        clamp=clamp,
    )


def _named(space: str, config: str) -> str:
    found = identify(load_config(config), space)
    if found.local_name is None:
        raise UseError(
            f"The config {config} has no colour space {space!r}.",
            "Name a Color Interop ID, such as lin_rec709_scene, or a space of the config, such as "
            "ACEScct.",
        )
    if found.reading in (None, DATA):
        return found.local_name
    return str(found.reading)


def _no_space(path: Path, place: str = "") -> UseError:
    where = f"{path}, {place}," if place else str(path)
    return UseError(
        f"{where} does not say which colour space it works in.",
        "Name the space of the numbers that went in, such as lin_rec709_scene or ACEScct: "
        "--from SPACE.",
    )
