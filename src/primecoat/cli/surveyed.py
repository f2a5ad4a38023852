"""The survey that a verb starts from, with a progress bar."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from primecoat import workflow
from primecoat.cli.progress import progress_bar
from primecoat.location import pasteable, printable

if TYPE_CHECKING:
    from primecoat.checks.survey import Survey


def surveyed(
    target: Path,
    root: list[Path] | None,
    from_space: str | None,
    to_space: str | None,
    config: str | None,
    without: str,
    *,
    house: str | None = None,
    tells_house: bool = True,
    tells_unread: bool = True,
    verify: bool = False,
    workers: int | None = None,
    cluster: str | None = None,
) -> Survey:
    """Survey a target with the options of the command line.

    Parameters
    ----------
    tells_house
        Say on stderr which house conventions hold; not so where the verb itself says it.
    tells_unread
        Say on stderr which conventions lie too far up to hold.
    """
    with progress_bar("measuring") as progress:
        found = workflow.survey(
            target,
            roots=root or (),
            from_space=from_space,
            to_space=to_space,
            config=config,
            house=house,
            without=[word.strip() for word in without.split(",") if word.strip()],
            verify=verify,
            progress=progress,
            workers=workers,
            cluster=cluster,
        )
    if tells_house and found.readings.house.file:
        print(f"primecoat: house conventions {found.readings.house.words}", file=sys.stderr)
    if tells_unread:
        tell_unread_house([target], root, house)
    return found


def tell_unread_house(targets: Sequence[Path], root: list[Path] | None, house: str | None) -> None:
    """Say on stderr, once for each file, which house conventions lie too far up to be read."""
    from primecoat.house import house_further_up

    found = [house_further_up(target, root or (), house) for target in targets]
    for file in dict.fromkeys(file for file in found if file is not None):
        print(
            f"primecoat: no house conventions hold: {printable(str(file))} lies higher than the "
            f"scene reaches. If it is yours: --house {printable(pasteable(file))} or "
            f"--root {printable(pasteable(file.parent))}; if not: --house none.",
            file=sys.stderr,
        )
