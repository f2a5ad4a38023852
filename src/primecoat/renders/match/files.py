"""Write a matched look: CDL files, CLF, an OpenColorIO config with the look, and pictures."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert, is_built_in
from primecoat.colour.ocio.transforms import read_steps, run_file
from primecoat.config.look_file import load_look_file
from primecoat.config.plan_content import plan_content
from primecoat.config.write import write_config
from primecoat.errors import RefusedError, UseError
from primecoat.files import create_bytes, remove, sha256_of
from primecoat.renders.corrections import Said, load_corrections
from primecoat.renders.corrections.model import Run
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.blocks import WORKING
from primecoat.renders.match.left import left_after
from primecoat.renders.match.model import Match
from primecoat.renders.match.pictures import draw_match
from primecoat.renders.match.texts import NAME, TEXTS, description

PICTURE: Final = "before-and-after.png"

_AGREE: Final = 2e-5
"""How far a file may be from the numbers, relative to light: float32 through a logarithm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenLook:
    """A file of a look.

    Parameters
    ----------
    path
        The file.
    left
        Mean and 95 % of CIEDE2000 over single pixels, the new render put through the file as it
        was read back by OpenColorIO; None for a picture.
    sha256
        Of its bytes.
    """

    path: Path
    left: tuple[float, float] | None = None
    sha256: str = ""


def write_look(match: Match, folder: Path) -> tuple[WrittenLook, ...]:
    """Write the chosen step of a match, and read every file back.

    Parameters
    ----------
    match
        What was matched.
    folder
        Where to; made if it is not there. No file there is written over.

    Returns
    -------
    tuple of WrittenLook
        ``matched_look`` as .cc, .ccc, .cdl, .clf and, over a built-in config, .ocio; and
        ``before-and-after.png``.

    Raises
    ------
    UseError
        If the folder cannot be made, or holds a file of such a name.
    RefusedError
        If a file does not do what its numbers say when it is read back.
    """
    check_room(folder, match.sight.pair.config)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UseError(
            f"Cannot make the folder {folder}: {error.strerror}.", "Give another --out."
        ) from error
    written: list[WrittenLook] = []
    try:
        _write_all(match, folder, written)
    except BaseException:
        for one in written:
            remove(one.path)
        raise
    return tuple(replace(one, sha256=sha256_of(one.path)) for one in written)


def remove_look(written: Iterable[WrittenLook], folder: Path) -> tuple[Path, ...]:
    """Remove the files of a look, and its folder if nothing else is in it.

    Raises
    ------
    RefusedError
        If a file is not as it was written; then none is removed.
    """
    there = [one for one in written if os.path.lexists(one.path)]
    for one in there:
        if sha256_of(one.path) != one.sha256:
            raise RefusedError(
                f"{one.path} was changed since it was written. Nothing was removed.",
                "Remove it yourself if you do not want it.",
            )
    for one in there:
        remove(one.path)
    with contextlib.suppress(OSError):  # other files are in it, or it is gone
        folder.rmdir()
    return tuple(one.path for one in there)


def _write_all(match: Match, folder: Path, written: list[WrittenLook]) -> None:
    config = match.sight.pair.config
    words = description(_matched(match))
    for suffix, text in TEXTS.items():
        path = folder / f"{NAME}{suffix}"
        create_bytes(path, text(match.result.adjustment.cdl, words).encode())
        written.append(WrittenLook(path=path))
        written[-1] = _proven(path, match)
    if is_built_in(config):
        look = load_look_file(written[0].path, works_in=SPACE, clamp=False)
        path = folder / f"{NAME}.ocio"
        write_config(plan_content(base=config, look=look), path)
        written.append(WrittenLook(path=path))
        written[-1] = _proven(path, match)
    written.append(WrittenLook(path=draw_match(match, folder / PICTURE)))


def check_room(folder: Path, config: str) -> None:
    """Refuse a folder that holds a file of a name that a look would get.

    Raises
    ------
    UseError
        If it does, or is no folder.
    """
    if folder.exists() and not folder.is_dir():
        raise UseError(f"{folder} is no folder.", "Give another --out.")
    for name in (*(f"{NAME}{suffix}" for suffix in (*TEXTS, ".ocio")), PICTURE):
        if name.endswith(".ocio") and not is_built_in(config):
            continue
        if os.path.lexists(folder / name):
            raise UseError(
                f"{folder / name} is there, and no file is written over.",
                "Give another folder with --out.",
            )


def _matched(match: Match) -> str:
    pair = match.sight.pair
    view = pair.seen_b
    return (
        f"{Path(match.new).name} to {Path(match.old).name} as it was seen; "
        f"{view.view} on {view.display}, {pair.config}"
    )


def _proven(path: Path, match: Match) -> WrittenLook:
    """Read a file back, hold it to the numbers, and measure what is left after it."""
    config = match.sight.pair.config
    run, space = _read_back(path, config)
    light = _probe()
    adjustment = match.result.adjustment
    wanted = adjusted(convert(light, WORKING, SPACE, config), adjustment, config)
    linear = convert(wanted, SPACE, WORKING, config)
    found = run(light)
    found = found if space == WORKING else convert(found, space, WORKING, config)
    off = float(np.max(np.abs(found - linear) / np.maximum(np.abs(linear), 1e-3)))
    if not off <= _AGREE:
        raise RefusedError(
            f"{path} does not do what its numbers say: it is {off:.2g} of the light off.",
            "This is a fault of primecoat or of OpenColorIO: please report it.",
        )
    if adjustment == Adjustment():  # nothing is done, so nothing goes through a logarithm
        residual = match.result.residual
        return WrittenLook(path=path, left=(residual.pixels_mean, residual.pixels_p95))
    left = left_after(match.samples, lambda sight, rows: sight.codes_through(run, rows, space))
    return WrittenLook(path=path, left=left)


def works_in(path: Path) -> str:
    """Return the space that the numbers of a written CDL or CLF act on.

    Examples
    --------
    >>> works_in(Path("matched_look.cc")), works_in(Path("matched_look.clf"))
    ('ACEScct', 'lin_ap1_scene')
    """
    return WORKING if path.suffix == ".clf" else SPACE


def _read_back(path: Path, config: str) -> tuple[Run, str]:
    """Return what a file does to linear AP1, and the space of what comes out."""
    if path.suffix == ".clf":
        return run_file(path, path.read_bytes(), config), WORKING
    if path.suffix == ".ocio":
        words = f"- !<LookTransform> {{src: {WORKING}, dst: {WORKING}, looks: {NAME}}}"
        (step,) = read_steps(words, path, str(path.resolve()))
        return step.run, WORKING
    said = Said(space=SPACE, gives=None, clamp=False)
    (correction,) = load_corrections(str(path), said, config).corrections
    return (lambda rows: correction.run(convert(rows, WORKING, SPACE, config))), SPACE


def _probe() -> NDArray[np.float32]:
    """Return greys and colours from dark to bright, linear AP1, shape (n, 3)."""
    greys = 0.18 * 2.0 ** np.linspace(-8.0, 8.0, 33)
    return np.concatenate([greys[:, None] * np.array(tint) for tint in _TINTS]).astype(np.float32)


_TINTS: Final = ((1.0, 1.0, 1.0), (1.0, 0.3, 0.1), (0.1, 0.8, 0.3), (0.2, 0.3, 1.0))
