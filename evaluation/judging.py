"""Read labelled pictures in several modes; stock is taken once, then judged many times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from evaluation.cases import Case
from evaluation.metrics import Outcome, outcome_of
from primecoat.inventory import Inventory, take_inventory
from primecoat.reading.judge import read_images


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """Who is heard.

    Parameters
    ----------
    without
        Witnesses left unheard.
    scene
        Whether the scene's uses are known; without, the pictures are files in a folder.
    """

    name: str
    without: frozenset[str] = frozenset()
    scene: bool = True


MODES: tuple[Mode, ...] = (
    Mode(name="all witnesses"),
    Mode(name="without slots", without=frozenset({"slot"})),
    Mode(name="without names", without=frozenset({"name"})),
    Mode(name="without slots and names", without=frozenset({"slot", "name"})),
    Mode(
        name="pixels only",
        without=frozenset({"slot", "declaration", "header", "name", "siblings"}),
    ),
    Mode(name="no scene", scene=False),
    Mode(name="no scene, without names", without=frozenset({"name"}), scene=False),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What was found and measured of a set of labelled pictures, and the labels.

    Parameters
    ----------
    root
        The folder to which the paths of the cases are relative.
    """

    inventory: Inventory
    cases: tuple[Case, ...]
    root: Path


def take_stock(sheet: Path, cases: Sequence[Case], root: Path) -> Stock:
    """Return the stock of a scene sheet whose pictures lie in a folder."""
    inventory = take_inventory(sheet, roots=[sheet.parent, root])
    return Stock(inventory=inventory, cases=tuple(cases), root=root)


def judge(stock: Stock, mode: Mode) -> tuple[Outcome, ...]:
    """Read every labelled picture that stands in a right slot, as one mode has it.

    Raises
    ------
    KeyError
        If a labelled picture is not in the stock.
    """
    inventory = stock.inventory
    if not mode.scene:
        records = tuple(replace(record, uses=()) for record in inventory.images)
        inventory = replace(inventory, scenes=(), images=records)
    found = {}
    for reading in read_images(inventory, {}, without=mode.without):
        for file in reading.record.files:
            found[file.resolve()] = reading.judgement
    root = stock.root.resolve()
    return tuple(
        outcome_of(case, found[root / case.path]) for case in stock.cases if case.slot_is_right
    )
