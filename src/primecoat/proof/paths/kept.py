"""Proofs kept in the state folder, found again by all that they are made from.

A proof is read back only if the bytes of the scene, the pictures as they are traced, every reading
and decision, the views and the options are what they were; a file that cannot be used is traced
anew. The newest are kept, up to a number and a size.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.colour.ocio import view_id
from primecoat.documents import read_state
from primecoat.errors import InputError, RefusedError
from primecoat.files import replace_bytes, sha256_of, state_folder
from primecoat.proof.paths.model import Known, Stage, stage_key
from primecoat.proof.paths.sight import Sight
from primecoat.version import __version__

FORM: Final = 2
"""Raised whenever what is traced or kept changes its meaning; other forms are traced anew."""

MOST_FILES: Final = 8
MOST_BYTES: Final = 256 << 20
"""Proofs that are kept, and their bytes together; the oldest go first."""

_MOST_UNPACKED: Final = 1 << 30
_FOLDER, _ENDING = "proofs", ".npz"

Arrays = Mapping[str, NDArray[Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What was asked for.

    Parameters
    ----------
    size
        Height and width.
    """

    sights: tuple[Sight, Sight]
    size: tuple[int, int]
    samples: int
    most_causes: int
    seed: int


def state_key(survey: Survey, stages: tuple[Stage, Stage]) -> str:
    """Return what stands for a scene in its present state.

    Parameters
    ----------
    stages
        As the scene is read today and as it must be read.
    """
    told = hashlib.blake2b(digest_size=16)

    def tell(*facts: object) -> None:
        told.update(json.dumps([str(fact) for fact in facts]).encode())

    known: Known = {}
    tell(FORM, __version__, *(stage_key(stage, known) for stage in stages))
    readings = survey.readings
    tell(readings.config, readings.from_space, readings.to_space)
    for scene in readings.inventory.scenes:
        for path in (scene.path, *(scene.path.parent / layer for layer in scene.layers)):
            tell(path.name, _hash(path))
    for image in readings.images:
        tell(image.record.path, *(measure.sha256 for measure in image.record.measures))
        for use in image.uses:
            held, judged = use.scene_use.use, use.judgement
            tell(held.owner, held.slot, held.channels, held.location)
            tell(use.today, judged.reading, judged.standing)
    for value in (*readings.colours, *readings.lights):
        tell(value.scene.name, value.value.location, value.reading, value.working)
    return told.hexdigest()


def options_key(options: Options) -> str:
    """Return what stands for what was asked for; views by what they do, not by name alone."""
    views = [
        (one.display, one.view, view_id(one.display, one.view, "lin_ap1_scene", one.config))
        for one in options.sights
    ]
    return hashlib.blake2b(f"{options!r} {views!r}".encode(), digest_size=8).hexdigest()


def read_kept(home: Path, state: str, options: str = "") -> tuple[dict[str, Any], Arrays] | None:
    """Return facts and arrays of a proof; without options those of the newest of this state."""
    folder = state_folder(home) / _FOLDER
    for file in reversed(_by_age(folder)):
        if file.name.startswith(f"{state}-{options}"):
            with contextlib.suppress(Exception):  # whatever it is, it is none that can be used
                return _read(file)
    return None


def write_kept(
    home: Path, state: str, options: str, facts: Mapping[str, Any], arrays: Arrays
) -> None:
    """Keep a proof; a folder without rights is left alone."""
    written = io.BytesIO()
    text = np.frombuffer(json.dumps(facts).encode(), np.uint8)
    held: dict[str, Any] = {"facts": text, **arrays}
    np.savez_compressed(written, **held)
    if written.tell() > MOST_BYTES:
        return
    with contextlib.suppress(OSError, RefusedError):
        folder = state_folder(home, create=True) / _FOLDER
        folder.mkdir(exist_ok=True)
        replace_bytes(folder / f"{state}-{options}{_ENDING}", written.getvalue())
        _make_room(folder)


def any_kept(home: Path) -> bool:
    """Whether any proof is kept, of whatever state."""
    return bool(_by_age(state_folder(home) / _FOLDER))


def _read(file: Path) -> tuple[dict[str, Any], Arrays]:
    data = read_state(file) or b""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        if sum(one.file_size for one in packed.infolist()) > _MOST_UNPACKED:
            raise ValueError
    with np.load(io.BytesIO(data), allow_pickle=False) as held:
        arrays = {name: held[name] for name in held.files}
    facts = json.loads(bytes(arrays.pop("facts")))
    if not isinstance(facts, dict):
        raise ValueError
    return facts, arrays


def _make_room(folder: Path) -> None:
    """Remove the oldest proofs beyond what is kept."""
    size = 0
    for number, file in enumerate(reversed(_by_age(folder))):
        size += file.stat().st_size
        if number >= MOST_FILES or size > MOST_BYTES:
            file.unlink(missing_ok=True)


def _by_age(folder: Path) -> list[Path]:
    return sorted(folder.glob(f"*{_ENDING}"), key=_age)


def _age(file: Path) -> tuple[int, str]:
    try:
        return file.stat().st_mtime_ns, file.name
    except OSError:  # removed a moment ago
        return 0, file.name


def _hash(path: Path) -> str:
    try:
        return sha256_of(path)
    except InputError:
        return ""
