"""The verb that lets a scene pass, or not."""

from __future__ import annotations

from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import (
    AsJson,
    FromSpace,
    HouseFile,
    Roots,
    Target,
)
from primecoat.cli.surveyed import surveyed
from primecoat.cli.writing import print_document
from primecoat.report import terminal


def gate(
    target: Target,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    config: Annotated[
        str | None,
        typer.Option(
            "--config",
            help="OpenColorIO config the scene will be read with: built-in name or file. A file "
            "that it misreads keeps the gate closed.",
            metavar="CONFIG",
        ),
    ] = None,
    house: HouseFile = None,
) -> None:
    """Pass only if every image and colour is explicit; name each that is not."""
    found = surveyed(
        target, root, from_space, None, config, "", house=house, tells_house=False, verify=True
    )
    result = workflow.gate(found, config=config)
    if json:
        print_document(
            "primecoat.gate/1",
            open=result.open,
            explicit=result.explicit,
            left=[{"where": h.where, "why": h.why, "remedy": h.remedy} for h in result.left],
            findings=[f.as_document() for f in result.findings],
            closed_by=list(result.closed_by),
            house=found.readings.house.as_document(),
        )
    else:
        terminal.show(terminal.left_view(result.left, result.explicit))
        if result.grave:
            terminal.show(terminal.findings_view(result.grave))
        if found.readings.house.file:
            print(f"House conventions {found.readings.house.words}.")
        print(f"The gate is {'open' if result.open else 'closed'}.")
    raise typer.Exit(0 if result.open else 1)
