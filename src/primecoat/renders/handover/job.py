"""One master handed over; runs in this process or in a worker."""

from __future__ import annotations

import os
from dataclasses import asdict, dataclass
from pathlib import Path

from primecoat.bake.store import workroom
from primecoat.colour.ocio import library_version as ocio_version
from primecoat.errors import PrimecoatError, RefusedError
from primecoat.files import Identity, rename_new, sha256_of, sync_file
from primecoat.images.oiio import codec_threads
from primecoat.images.oiio import library_version as oiio_version
from primecoat.renders.handover import records
from primecoat.renders.handover.master import Master, open_master
from primecoat.renders.handover.meant import Counts, Meant
from primecoat.renders.handover.read_back import ReadBack, read_back
from primecoat.renders.handover.recipe import Recipe
from primecoat.renders.handover.records import Record
from primecoat.renders.handover.write import Written
from primecoat.version import __version__


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One master to hand over.

    Parameters
    ----------
    master
        The file.
    folder
        Where the new one goes.
    recipe, identity
        What is made of it, and the recipe's identity.
    threads
        For decoding and encoding.
    """

    master: Path
    folder: Path
    recipe: Recipe
    identity: str
    threads: int = 1

    @property
    def output(self) -> str:
        """Name of the new file: that of the master with the kind's ending."""
        return f"{self.master.stem}{self.recipe.kind.ending}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A file that was handed over, now or (``made`` is false) by an earlier run."""

    record: Record
    made: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A master that could not be handed over, why, and what to do."""

    master: str
    reason: str
    remedy: str


def hand_over(job: Job) -> Done | Failed:
    """Write, read back and place one file, or take what an earlier run finished.

    Whatever goes wrong is returned, so that one bad master stops no other.
    """
    try:
        return _handed_over(job)
    except PrimecoatError as error:
        reason, remedy = error.message, error.remedy
    except OSError as error:
        reason = f"The system refused: {error.strerror or error}."
        remedy = f"Check rights and room in {job.folder}, and that the master can be read."
    except MemoryError:
        reason, remedy = "There is not enough memory.", "Hand it over with --workers 1."
    except Exception as error:  # noqa: BLE001 one master's fault must not stop the others
        reason = f"It came to no end ({type(error).__name__}: {error})."
        remedy = "This is a fault of primecoat: please report it with the master."
    return Failed(master=str(job.master), reason=reason, remedy=remedy)


def _handed_over(job: Job) -> Done:
    before = Identity.of(job.master)
    master_sha256 = sha256_of(job.master)
    target = job.folder / job.output
    known = records.find(job.folder, job.output)
    there = ""
    if os.path.lexists(target):
        _refuse_foreign(job, known, target)
        there = sha256_of(target)
        if (
            known
            and there == known.sha256
            and known.master_sha256 == master_sha256
            and known.made_with == _versions()
        ):
            return Done(record=known, made=False)
    master = open_master(job.master, job.recipe)
    with workroom(records.store_of(job.folder)) as room, codec_threads(job.threads):
        fresh = room / f"picture{job.recipe.kind.ending}"
        meant = Meant(master.frame, job.recipe)
        written = Written(meant, master.part)
        written.write(fresh)
        found = read_back(fresh, written, meant)
        if found.faults:
            raise RefusedError(
                f"What was written is not what was meant: {'; '.join(found.faults)}.",
                "Nothing was placed. This is a fault of primecoat or of a library: please report "
                "it with the master.",
            )
        if Identity.of(job.master) != before:
            raise RefusedError(f"{job.master} changed meanwhile.", "Hand it over again.")
        sync_file(fresh)
        record = Record(
            output=job.output,
            sha256=sha256_of(fresh),
            recipe=job.identity,
            master=_relative(job.master, job.folder),
            master_sha256=master_sha256,
            made_with=_versions(),
            figures=_figures(master, written.counts, found),
            replaces=there,
        )
        records.keep(job.folder, record)
        if there:
            rename_new(target, room / "before")
        rename_new(fresh, target)
    return Done(record=record, made=True)


def _refuse_foreign(job: Job, known: Record | None, target: Path) -> None:
    """Refuse a name that is taken by anything but an own file of the same recipe."""
    if known is None or target.is_symlink() or not records.is_own(job.folder, known, job.output):
        raise RefusedError(
            f"{target} exists and was not written here, or was changed since.",
            "Name another folder with --out; nothing is overwritten.",
        )
    if known.recipe != job.identity:
        raise RefusedError(
            f"{target} was handed over by another recipe.",
            "Name another folder with --out, or remove what is there.",
        )


def _figures(master: Master, counts: Counts, found: ReadBack) -> dict[str, object]:
    frame, colour, alpha = master.frame, counts.colour, counts.alpha
    names = ("not_finite", "beyond_half", "below", "above")
    return {
        "space": frame.space,
        "space_said_by": frame.said_by,
        "layer": frame.layer,
        "part": frame.part,
        "left_out": list(master.left_out),
        "width": frame.width,
        "height": frame.height,
        "colour": {name: getattr(colour, name) for name in names},
        "alpha": {name: getattr(alpha, name) for name in names},
        "light_without_cover": counts.light_without_cover,
        "greatest_rounding": round(counts.rounding, 3),
        "read_back": {k: list(v) if isinstance(v, tuple) else v for k, v in asdict(found).items()},
    }


def _versions() -> dict[str, str]:
    return {
        "primecoat": __version__,
        "OpenColorIO": ocio_version(),
        "OpenImageIO": oiio_version(),
    }


def _relative(path: Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.as_posix()
