"""A generated set kept in a folder, so that its pictures need not be measured anew each time."""

from __future__ import annotations

import hashlib
from dataclasses import asdict
from pathlib import Path
from typing import Any

from evaluation.cases import SHEET, Case, generate
from primecoat.documents import dumps, load
from primecoat.errors import UseError

KIND = "primecoat.labels/1"
_LABELS = "labels.json"


def generated_set(folder: Path, count: int, seed: int) -> tuple[Case, ...]:
    """Return the cases of a generated set in a folder; make it if the folder is empty or new.

    Raises
    ------
    UseError
        If the folder holds something else, or a set that the generators would now make otherwise.
    """
    labels = folder / _LABELS
    made_by = _source_hash()
    if not labels.exists():
        if folder.exists() and any(folder.iterdir()):
            raise UseError(f"{folder} holds something else than a generated set.", "Name another.")
        folder.mkdir(parents=True, exist_ok=True)
        cases = generate(folder, count, seed)
        document: dict[str, Any] = {
            "document": KIND,
            "count": count,
            "seed": seed,
            "made_by": made_by,
            "cases": [asdict(case) for case in cases],
        }
        labels.write_text(dumps(document), encoding="utf-8")
        return cases
    document = load(labels, KIND)
    if (document["count"], document["seed"], document["made_by"]) != (count, seed, made_by):
        raise UseError(
            f"{folder} holds another set: {document['count']} pictures of seed "
            f"{document['seed']}, or made by an older generator.",
            "Remove it or name another folder.",
        )
    return tuple(_case(entry) for entry in document["cases"])


def sheet_of(folder: Path) -> Path:
    """Return the scene sheet of a generated set."""
    return folder / SHEET


def _case(entry: dict[str, Any]) -> Case:
    uses = tuple((slot, channels) for slot, channels in entry["uses"])
    return Case(**entry | {"uses": uses, "accepted": tuple(entry["accepted"])})


def _source_hash() -> str:
    """Return a hash of everything here that has a part in making the files."""
    home = Path(__file__).parent
    files = sorted((home / "contents").glob("*.py"))
    files += [home / f"{name}.py" for name in ("cases", "names", "recipes", "writing")]
    return hashlib.sha256(b"".join(f.read_bytes() for f in files)).hexdigest()[:16]
