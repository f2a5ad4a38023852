"""The survey that a verb starts from, with a progress bar."""

from __future__ import annotations

import sys
from pathlib import Path

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.cli.progress import progress_bar


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
    verify: bool = False,
    workers: int | None = None,
    cluster: str | None = None,
) -> Survey:
    """Survey a target with the options of the command line.

    Parameters
    ----------
    tells_house
        Say on stderr which house conventions hold; not so where the verb itself says it.
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
    return found
