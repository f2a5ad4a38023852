"""The survey that a verb starts from, with a progress bar."""

from __future__ import annotations

from pathlib import Path

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.cli.progress import progress_bar


def surveyed(
    target: Path,
    root: list[Path] | None,
    from_space: str | None,
    to_space: str,
    config: str | None,
    without: str,
    *,
    verify: bool = False,
    workers: int | None = None,
    cluster: str | None = None,
) -> Survey:
    """Survey a target with the options of the command line."""
    with progress_bar("measuring") as progress:
        return workflow.survey(
            target,
            roots=root or (),
            from_space=from_space,
            to_space=to_space,
            config=config,
            without=[word.strip() for word in without.split(",") if word.strip()],
            verify=verify,
            progress=progress,
            workers=workers,
            cluster=cluster,
        )
