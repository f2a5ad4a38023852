"""Write a matched look: CDL files, CLF, an OpenColorIO config with the look, and pictures."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from primecoat.colour.ocio import convert
from primecoat.colour.ocio.transforms import run_file
from primecoat.config.look_file import load_look_file
from primecoat.config.plan_content import plan_content
from primecoat.config.write import write_config
from primecoat.errors import RefusedError, UseError
from primecoat.files import replace_bytes
from primecoat.renders.corrections import load_corrections
from primecoat.renders.corrections.load import Said
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.blocks import WORKING
from primecoat.renders.match.look import Match
from primecoat.renders.match.pictures import draw_match
from primecoat.renders.match.texts import NAME, TEXTS, WRITTEN_BY, description

PICTURE: Final = "before-and-after.png"

_AGREE: Final = 2e-5
"""How far a file may be from the numbers, relative to light: float32 through a logarithm."""


def write_look(match: Match, folder: Path) -> tuple[Path, ...]:
    """Write the chosen step of a match, and read every file back.

    Parameters
    ----------
    match
        What was matched.
    folder
        Where to; made if it is not there. Files of an earlier match are replaced, no others.

    Returns
    -------
    tuple of pathlib.Path
        ``matched_look`` as .cc, .ccc, .cdl, .clf and, over a built-in config, .ocio; and
        ``before-and-after.png``.

    Raises
    ------
    UseError
        If the folder cannot be made, or holds a file of such a name that is not ours.
    RefusedError
        If a file does not do what its numbers say when it is read back.
    """
    config = match.sight.pair.config
    built_in = not Path(config).exists()
    names = [f"{NAME}{suffix}" for suffix in (*TEXTS, *((".ocio",) if built_in else ()))]
    _make_room(folder, (*names, PICTURE))
    adjustment = match.result.adjustment
    words = description(_matched(match))
    written = []
    for suffix, text in TEXTS.items():
        path = folder / f"{NAME}{suffix}"
        replace_bytes(path, text(adjustment.cdl, words).encode())
        _prove(path, adjustment, config)
        written.append(path)
    if built_in:
        look = load_look_file(written[0], works_in=SPACE, clamp=False)
        made = write_config(plan_content(base=config, look=look), folder / f"{NAME}.ocio")
        written.append(made.path)
    written.append(draw_match(match, folder / PICTURE))
    return tuple(written)


def _matched(match: Match) -> str:
    pair = match.sight.pair
    view = pair.seen_b
    return (
        f"{Path(match.new).name} to {Path(match.old).name} as it was seen; "
        f"{view.view} on {view.display}, {pair.config}"
    )


def _make_room(folder: Path, names: tuple[str, ...]) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UseError(
            f"Cannot make the folder {folder}: {error.strerror}.", "Give another --out."
        ) from error
    there = [name for name in names if (folder / name).exists()]
    mark = folder / f"{NAME}.cc"
    ours = mark.is_file() and WRITTEN_BY in mark.read_text(encoding="utf-8", errors="replace")
    if there and not ours:
        raise UseError(
            f"{folder / there[0]} is there and was not written by this verb.",
            "Give another folder with --out.",
        )


def _prove(path: Path, adjustment: Adjustment, config: str) -> None:
    """Read a file back and hold it to the numbers, on greys and colours from dark to bright."""
    greys = 0.18 * 2.0 ** np.linspace(-8.0, 8.0, 33)
    light = np.concatenate([greys[:, None] * np.array(tint) for tint in _TINTS]).astype(np.float32)
    numbers = convert(light, WORKING, SPACE, config)
    wanted = convert(adjusted(numbers, adjustment, config), SPACE, WORKING, config)
    if path.suffix == ".clf":
        found = run_file(path, path.read_bytes(), config)(light)
    else:
        said = Said(space=SPACE, gives=None, clamp=False)
        (correction,) = load_corrections(str(path), said, config).corrections
        found = convert(correction.run(numbers), SPACE, WORKING, config)
    off = float(np.max(np.abs(found - wanted) / np.maximum(np.abs(wanted), 1e-3)))
    if not off <= _AGREE:
        raise RefusedError(
            f"{path} does not do what its numbers say: it is {off:.2g} of the light off.",
            "This is a fault of primecoat or of OpenColorIO: please report it.",
        )


_TINTS: Final = ((1.0, 1.0, 1.0), (1.0, 0.3, 0.1), (0.1, 0.8, 0.3), (0.2, 0.3, 1.0))
