"""Real pictures with labels, from open packages, put into a scene sheet by their labels."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable
from pathlib import Path

import pytest
from tests.open_data.pictures import HELD_OUT, LABELS, Label, labelled_pictures

from evaluation.cases import Case
from evaluation.contents.content import Kind
from evaluation.judging import Stock, take_stock
from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.errors import InputError
from primecoat.scenes.model import SLOTS


def real_stock(folder: Path, *, held_out: bool) -> Stock:
    """Return the stock of all labelled real pictures.

    Pictures of which nobody can say if they are colour are left out.

    Parameters
    ----------
    folder
        Where the scene sheet, and what is measured, are kept.
    held_out
        Take those that nothing may be fitted on.

    Raises
    ------
    InputError
        If a package cannot be had.
    """
    try:
        found = list(labelled_pictures(HELD_OUT if held_out else LABELS))
    except pytest.skip.Exception as error:
        raise InputError(f"{error}.", "Look after npm, pip and the network.") from error
    known = [(path.resolve(), label) for path, label in found if label.truth != UNKNOWN]
    root = Path(os.path.commonpath([path.parent for path, _ in known]))
    cases = tuple(_case(path, label, root) for path, label in known)
    folder.mkdir(parents=True, exist_ok=True)
    sheet = folder / ("held_out.csv" if held_out else "real.csv")
    _write_sheet(sheet, cases, root)
    return take_stock(sheet, cases, root)


def _case(path: Path, label: Label, root: Path) -> Case:
    kind: Kind = "data" if label.truth == DATA else "colour"
    slot = label.slot if label.slot in SLOTS else f"other_{'data' if kind == 'data' else 'color'}"
    encoding = label.space.rsplit("_", 1)[0]
    both = (f"{encoding}_{end}" for end in ("scene", "display"))
    return Case(
        path=path.relative_to(root).as_posix(),
        kind=kind,
        space=label.space,
        accepted=tuple(s for s in both if s in SPACES and s != label.space),
        content=slot,
        subject=slot,
        uses=((slot, "rgb"),),
        header="true" if label.space in SPACES else "none",
    )


def _write_sheet(sheet: Path, cases: Iterable[Case], root: Path) -> None:
    with sheet.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow(("path", "owner", "slot", "channels"))
        for case in cases:
            path = Path(os.path.relpath(root / case.path, sheet.parent)).as_posix()
            writer.writerows((path, "real", slot, channels) for slot, channels in case.uses)
