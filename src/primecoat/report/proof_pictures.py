"""The pictures of a proof: linear EXR, display PNG, and maps of difference."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.errors import UseError
from primecoat.files import ASIDE_PREFIX
from primecoat.images.oiio import write_pixels
from primecoat.proof.paths.outcome import Proof
from primecoat.proof.paths.picture import Rendered
from primecoat.proof.paths.scenario import WORKING
from primecoat.proof.paths.sight import Look, seen_difference
from primecoat.renders.pictures.draw import SCREEN, difference_map, save_picture

Floats = NDArray[np.float32]


def write_proof_pictures(found: Proof, folder: Path) -> tuple[Path, ...]:
    """Write all pictures of a proof.

    Parameters
    ----------
    found
        The proof.
    folder
        Where to; it is made if it is not there. Files of these names are replaced, others kept.

    Returns
    -------
    tuple of pathlib.Path
        ``old.exr`` (linear Rec.709), ``new.exr`` and ``spectral.exr`` (linear AP1), each with its
        Color Interop ID and at the exposure of the proof; ``old.png``, ``new.png`` and
        ``spectral.png`` as they are seen; ``change.png`` and ``working-space.png``, maps of
        CIEDE2000; and ``cause-NN-alone.png`` and ``cause-NN-last.png`` for each cause that shows.

    Raises
    ------
    UseError
        If the folder cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UseError(
            f"Cannot make the folder {folder}: {error.strerror}.", "Give another --out."
        ) from error
    old, new, spectral = found.look("rec709", old=True), found.look("ap1"), found.look("spectral")
    written = []
    for name, look, picture in (
        ("old", old, found.old),
        ("new", new, found.new),
        ("spectral", spectral, found.new),
    ):
        written.append(_linear(folder / f"{name}.exr", look, picture))
        written.append(save_picture(folder / f"{name}.png", _on_screen(look, picture)))
    maps = {
        "change": (seen_difference(found.old, old, found.new, new), "OLD TO NEW"),
        "working-space": (
            seen_difference(found.new, found.look("rec709"), found.new, new),
            "REC.709 TO AP1, ALL READ AS IT MUST BE",
        ),
    }
    shown = [one for one in found.causes.causes if one.shown] if found.causes else []
    for number, one in enumerate(shown, start=1):
        words = one.name.rpartition("/")[2].upper()
        maps[f"cause-{number:02}-alone"] = one.map_alone, f"MENDED ALONE: {words}"
        maps[f"cause-{number:02}-last"] = one.map_last, f"MENDED LAST: {words}"
    for name, (values, words) in maps.items():
        end = float(np.percentile(values, 99))
        drawn = difference_map(values, end, f"CIEDE2000, {words}")
        written.append(save_picture(folder / f"{name}.png", drawn))
    return tuple(written)


def _linear(path: Path, look: Look, picture: Rendered) -> Path:
    space = WORKING["ap1" if look.basis == "spectral" else look.basis]
    aside = path.with_name(f"{ASIDE_PREFIX}{path.name}")
    write_pixels(aside, look.numbers(picture), attributes={"colorInteropID": space})
    aside.replace(path)
    return path


def _on_screen(look: Look, picture: Rendered) -> Floats:
    codes, screen = look.codes(picture), look.sight.screen
    shown = codes if screen == SCREEN else convert(codes, screen, SCREEN, look.sight.config)
    return np.clip(shown, 0.0, 1.0)
