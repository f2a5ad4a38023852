"""One frame handed over: read, converted or seen, written aside, read back, put in its place."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.bake.labels import PINNED_DATE, kept_header
from primecoat.bake.stored_numbers import Tally, stored, within_half
from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert
from primecoat.config.look_file import LookFile
from primecoat.config.look_view import through_look
from primecoat.errors import ImageError, PrimecoatError, RefusedError
from primecoat.files import ASIDE_PREFIX, ASIDE_SUFFIX, rename_new, sha256_of, sync_file
from primecoat.images.oiio_stream import Level, read_parts, write_parts
from primecoat.images.part import Attribute, Part
from primecoat.images.second_reader import second_rows
from primecoat.images.true_statement import statement
from primecoat.renders.frame import Frame, open_frame, read_bands_with_alpha
from primecoat.renders.handover.kinds import Kind, Storing
from primecoat.renders.handover.proof import refuse_wrong_label
from primecoat.renders.handover.strict import ap0_chromaticities, deviations

Rows = NDArray[Any]

_TYPES = {"float16": "half", "float32": "float"}
_JPEG_QUALITY = 95
_FILTER_UP = 0x20
"""Of libpng's filters the one from the row above (PNG_FILTER_UP): the second reader undoes it for
a whole band at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """What is done to every frame.

    Parameters
    ----------
    kind, storing
        What is written, and how it is stored.
    space, layer, part
        What is said of the masters; see :func:`primecoat.renders.frame.open_frame`.
    display, view
        Of a display kind; empty for others.
    look
        What comes before the view, or None.
    over_black
        Lay colour over black and write no alpha.
    mend
        Store NaN as 0 and what the numbers cannot hold as their limit, and count it.
    config
        Built-in name or path.
    """

    kind: Kind
    storing: Storing
    space: str | None = None
    layer: str = ""
    part: str | None = None
    display: str = ""
    view: str = ""
    look: LookFile | None = None
    over_black: bool = False
    mend: bool = False
    config: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameJob:
    """One master and where its file goes."""

    master: Path
    target: Path
    recipe: Recipe


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """A file that was written and proved.

    Parameters
    ----------
    master, target
        Paths.
    master_sha256, sha256
        Hashes of both files.
    space
        Space of the master's numbers, and ``said_by`` whom.
    counts
        What was met: values below 0 and above 1 that whole numbers cut off, values that are not
        finite or beyond half, by name; only those that were.
    proved
        What was read back, in words.
    """

    master: Path
    target: Path
    master_sha256: str
    sha256: str
    space: str
    said_by: str
    counts: dict[str, int]
    proved: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotHandedOver:
    """A frame that failed, why, and what to do."""

    master: Path
    reason: str
    remedy: str


def hand_over(job: FrameJob) -> HandedOver | NotHandedOver:
    """Write one file and prove it; whatever goes wrong is returned."""
    aside = job.target.with_name(f"{ASIDE_PREFIX}{job.target.name}{ASIDE_SUFFIX}")
    try:
        aside.mkdir(exist_ok=True)
        return _hand_over(job, aside / job.target.name)
    except PrimecoatError as error:
        return NotHandedOver(master=job.master, reason=error.message, remedy=error.remedy)
    except OSError as error:
        return NotHandedOver(
            master=job.master,
            reason=f"The system refused: {error.strerror or error}.",
            remedy=f"Check rights and room in {job.target.parent}.",
        )
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _hand_over(job: FrameJob, aside: Path) -> HandedOver:
    recipe, kind = job.recipe, job.recipe.kind
    before = sha256_of(job.master)
    frame = open_frame(
        job.master,
        space=recipe.space,
        layer=recipe.layer,
        part=recipe.part,
        config=recipe.config,
    )
    _refuse(frame, recipe)
    part = _part(frame, recipe)
    tally, meant = Tally(), hashlib.sha256()

    def rows() -> Iterator[Rows]:
        for _, colour, alpha in read_bands_with_alpha(frame):
            made = _made(colour, alpha, frame, recipe, tally)
            meant.update(np.ascontiguousarray(made).tobytes())
            yield made

    level: Level = rows
    write_parts(aside, [part], [[level]])
    proved = _proved(aside, kind, meant.hexdigest())
    sync_file(aside)
    sha256 = sha256_of(aside)
    if sha256_of(job.master) != before:
        raise RefusedError(f"{job.master} changed while it was read.", "Hand it over again.")
    if job.target.exists():
        if sha256_of(job.target) != sha256:
            raise RefusedError(
                f"{job.target} is there with other content.",
                "Move it away, or hand over into another folder.",
            )
    else:
        rename_new(aside, job.target)
    known = ("below", "above", "not_finite", "beyond_half")
    return HandedOver(
        master=job.master,
        target=job.target,
        master_sha256=before,
        sha256=sha256,
        space=frame.space,
        said_by=frame.said_by,
        counts={name: n for name, n in asdict(tally).items() if name in known and n},
        proved=proved,
    )


def _refuse(frame: Frame, recipe: Recipe) -> None:
    kind = recipe.kind
    if frame.display_referred:
        raise RefusedError(
            f"{frame.path} is display-referred ({frame.space}): it has been through its view, and "
            f"{kind.name} is made from scene light.",
            "Give the scene-referred master, or name the space of its numbers with --in.",
        )
    if frame.alpha and not recipe.over_black and not kind.alpha:
        raise RefusedError(
            f"{frame.path} has alpha, and {kind.name} holds none.",
            "Lay it over black with --over-black, or hand it over as PNG or TIFF.",
        )
    whole = read_parts(frame.path)[frame.part]
    several = len(read_parts(frame.path)) > 1 or len(whole.channels) > len(frame.channels)
    if kind.strict and several and not (recipe.layer or recipe.part):
        raise RefusedError(
            f"{frame.path} holds more than one picture, and SMPTE ST 2065-4 holds one.",
            "Name the one that is meant with --layer or --part.",
        )
    width, height = (whole.window or (0, 0, whole.width, whole.height))[2:]
    placed = frame.origin == (0, 0) and (frame.width, frame.height) == (width, height)
    if kind.ending != ".exr" and not placed:
        raise RefusedError(
            f"{frame.path} holds {frame.width} x {frame.height} pixels of a frame of "
            f"{width} x {height}, and {kind.ending} knows no part of a frame.",
            "Render the whole frame, or hand it over as OpenEXR.",
        )


def _part(frame: Frame, recipe: Recipe) -> Part:
    kind = recipe.kind
    whole = read_parts(frame.path)[frame.part]
    channels = (*"RGB", *("A" if _writes_alpha(frame, recipe) else ""))
    stored_as = _TYPES.get(recipe.storing.number, recipe.storing.number)
    exr = kind.ending == ".exr"
    said: tuple[Attribute, ...] = statement(kind.space, kind.ending)
    if kind.strict:
        said = (
            *said,
            ("acesImageContainerFlag", "int", 1),
            ("chromaticities", "float[8]", ap0_chromaticities()),
        )
    how: list[Attribute] = [PINNED_DATE] if kind.ending in (".exr", ".tif") else []
    if kind.ending == ".jpg":
        how += [
            ("CompressionQuality", "int", _JPEG_QUALITY),
            ("jpeg:subsampling", "string", "4:4:4"),
        ]
    else:
        how.append(("compression", "string", recipe.storing.compression))
    if kind.ending == ".tif":
        how.append(("oiio:UnassociatedAlpha", "int", 1))
    if kind.ending == ".png":
        how.append(("png:filter", "int", _FILTER_UP))
    kept = kept_header(whole.header, same_format=exr) if exr else ()
    return Part(
        width=frame.width,
        height=frame.height,
        channels=channels,
        types=(stored_as,) * len(channels),
        origin=whole.origin if exr else (0, 0),
        window=whole.window if exr else None,
        header=(*kept, *said, *how),
    )


def _writes_alpha(frame: Frame, recipe: Recipe) -> bool:
    return frame.alpha and not recipe.over_black


def _made(
    colour: NDArray[np.float32],
    alpha: NDArray[np.float32] | None,
    frame: Frame,
    recipe: Recipe,
    tally: Tally,
) -> Rows:
    """Return rows as they are stored; alpha last.

    OpenEXR holds colour multiplied by alpha; PNG and TIFF hold it divided, and a view bends
    colour alone. Where alpha is 0, colour is light that adds to what is behind, and stays.
    """
    kind = recipe.kind
    held_multiplied = frame.multiplied and SPACES[frame.space].linear
    if kind.display:
        if alpha is not None and held_multiplied and not recipe.over_black:
            divisor = np.where(alpha > 0.0, alpha, np.float32(1.0)).astype(np.float32)
            colour = colour / divisor[..., None]
        elif alpha is not None and not held_multiplied and recipe.over_black:
            colour = colour * alpha[..., None]
        done = through_look(
            colour, frame.space, recipe.display, recipe.view, recipe.config, recipe.look
        )
    else:
        done = convert(colour, frame.space, kind.space, recipe.config)
        if alpha is not None and not held_multiplied:
            done = done * alpha[..., None]
    done = np.array(done, np.float32)  # of our own: it may be the decoder's rows
    tally.not_finite += int(np.count_nonzero(~np.isfinite(done)))
    if recipe.mend:
        np.nan_to_num(done, copy=False, nan=0.0, posinf=65504.0, neginf=-65504.0)
    if recipe.storing.number == "float16":
        within_half(done, tally, clamp=recipe.mend)
    _refuse_counts(frame.path, recipe, tally)
    if alpha is not None and _writes_alpha(frame, recipe):
        opaque = stored(alpha[..., None], recipe.storing.number, Tally())
        return np.concatenate([stored(done, recipe.storing.number, tally), opaque], axis=-1)
    return stored(done, recipe.storing.number, tally)


def _refuse_counts(master: Path, recipe: Recipe, tally: Tally) -> None:
    if recipe.mend:
        return
    if tally.not_finite:
        raise RefusedError(
            f"{master} holds NaN or infinity, {tally.not_finite} values in its first rows of them.",
            "Mend them where it was rendered; or --mend stores 0 and the greatest number.",
        )
    if tally.beyond_half:
        raise RefusedError(
            f"{master} holds light beyond 65504, which half cannot hold: {tally.beyond_half} "
            "values in the first rows that do.",
            "Hand it over with --number float; or --mend stores 65504.",
        )


def _proved(path: Path, kind: Kind, meant: str) -> tuple[str, ...]:
    """Read a finished file with other eyes; refuse one that is not what was meant."""
    proved = []
    found = second_rows(path)
    if found is not None:
        digest = hashlib.sha256()
        for rows in found:
            digest.update(np.ascontiguousarray(rows).tobytes())
        if digest.hexdigest() != meant:
            raise ImageError(
                f"{path.name} does not hold the numbers that were meant.",
                "This is a fault of the program or the disk; please report it.",
            )
        proved.append("every number, by a second reader")
    refuse_wrong_label(path, kind)
    proved.append("its label, and that nothing contradicts it")
    if kind.strict:
        wrong = deviations(path)
        if wrong:
            raise ImageError(
                f"{path.name} leaves SMPTE ST 2065-4: {'; '.join(wrong)}.",
                "This is a fault of the program; please report it.",
            )
        proved.append("its header against SMPTE ST 2065-4")
    return tuple(proved)
