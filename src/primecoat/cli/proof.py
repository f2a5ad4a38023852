"""The verb that traces a scene and says why a switch changes it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import (
    AsJson,
    Config,
    FromSpace,
    HouseFile,
    Roots,
    SceneTo,
    Target,
    Without,
    Workers,
)
from primecoat.cli.progress import progress_bars
from primecoat.cli.surveyed import surveyed
from primecoat.colour.defaults import DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.documents import dumps


def proof(
    target: Target,
    size: Annotated[
        str, typer.Option("--size", help="Width x height in pixels.", metavar="WxH")
    ] = "480x270",
    samples: Annotated[
        int, typer.Option("--samples", help="Paths for each pixel, rounded up to a multiple of 8.")
    ] = 16,
    causes: Annotated[
        int,
        typer.Option(
            "--causes", help="Misread images to look at one by one; 0 to look for no causes."
        ),
    ] = 8,
    out: Annotated[
        Path | None, typer.Option("--out", help="Folder for the pictures and maps.")
    ] = None,
    display: Annotated[
        str, typer.Option("--display", help="Display that is looked at.")
    ] = DEFAULT_DISPLAY,
    view: Annotated[str, typer.Option("--view", help="View of the new picture.")] = DEFAULT_VIEW,
    old_view: Annotated[
        str | None,
        typer.Option("--old-view", help="View of the old picture; by default the same."),
    ] = None,
    match: Annotated[
        str | None,
        typer.Option(
            "--match",
            help="What the new picture goes through: what 'match --json' printed, or its CDL.",
            metavar="FILE",
        ),
    ] = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="Trace even if the same proof is kept already.")
    ] = False,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: SceneTo = None,
    config: Config = None,
    house: HouseFile = None,
    without: Without = "",
    workers: Workers = None,
) -> None:
    """Trace a small picture in the old and the new working space: what changes, and why."""
    from primecoat.proof.paths.proof import Told
    from primecoat.report import terminal
    from primecoat.report.proof_document import proof_document
    from primecoat.report.proof_view import proof_view

    wanted = workflow.size_named(size)
    survey = surveyed(
        target, root, from_space, to_space, config, without, house=house, workers=workers
    )
    with progress_bars("tracing", "looking for causes") as (tracing, splitting):
        found = workflow.proof(
            survey,
            size=wanted,
            samples=samples,
            causes=causes,
            display=display,
            view=view,
            old_view=old_view,
            match=match,
            anew=anew,
            workers=workers,
            told=Told(tracing=tracing, splitting=splitting),
        )
    written = workflow.save_proof(found, out) if out else ()
    if json:
        print(dumps(proof_document(found, written)), end="")
    else:
        terminal.show(proof_view(found, written))
