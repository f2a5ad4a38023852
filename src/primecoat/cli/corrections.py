"""The verb that says which corrections of an old render may stay."""

from __future__ import annotations

from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Config, ToSpace
from primecoat.cli.values import space_option
from primecoat.colour.defaults import DEFAULT_TO
from primecoat.documents import dumps


def corrections(
    file: Annotated[
        str,
        typer.Argument(
            help="Corrections: .cc .ccc .cdl (FILE#ID for one of several), .clf and other look-up "
            "files, .yaml or .ocio with a list of OpenColorIO transforms, .toml or .csv with "
            "simple entries.",
            show_default=False,
        ),
    ],
    from_space: Annotated[
        str | None,
        space_option("--from", "Space that they work in, where the file does not say it."),
    ] = None,
    to_space: ToSpace = DEFAULT_TO,
    gives: Annotated[
        str | None,
        space_option("--gives", "Space of the numbers that come out, if another."),
    ] = None,
    clamp: Annotated[
        bool | None,
        typer.Option(
            "--clamp/--no-clamp",
            help="Whether CDL numbers clamp to 0 to 1, as ASC CDL v1.2 says.",
            show_default=False,
        ),
    ] = None,
    json: AsJson = False,
    config: Config = None,
) -> None:
    """Judge corrections of an old render: which may stay before a view transform, and why."""
    from primecoat.report import terminal
    from primecoat.report.corrections_document import corrections_document
    from primecoat.report.corrections_view import corrections_view

    judged = workflow.corrections(
        file, from_space=from_space, to_space=to_space, gives=gives, clamp=clamp, config=config
    )
    if json:
        print(dumps(corrections_document(judged)), end="")
    else:
        terminal.show(corrections_view(judged))
