"""The verb that says one colour in every space."""

from __future__ import annotations

from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Config, ToSpace
from primecoat.cli.values import space_option
from primecoat.colour.defaults import DEFAULT_DISPLAY, DEFAULT_TO
from primecoat.documents import dumps
from primecoat.errors import UseError


def swatch(
    colour: Annotated[
        str | None,
        typer.Argument(
            help="'#rrggbb' in quotes (or rrggbb), r,g,b with --in SPACE, or 6500K.",
            show_default=False,
        ),
    ] = None,
    space: Annotated[str | None, space_option("--in", "Space of the numbers.")] = None,
    through: Annotated[
        str | None, typer.Option("--through", help="View to see the colour through.")
    ] = None,
    against: Annotated[
        str | None,
        typer.Option("--against", help="View under which COLOUR shall show on the display."),
    ] = None,
    display: Annotated[
        str, typer.Option("--display", help="Display of the view.")
    ] = DEFAULT_DISPLAY,
    gains: Annotated[
        str | None,
        typer.Option(
            "--gains", help="White-balance gains r,g,b of --from SPACE instead of a colour."
        ),
    ] = None,
    from_space: Annotated[str | None, space_option("--from", "Working space of the gains.")] = None,
    to_space: ToSpace = DEFAULT_TO,
    json: AsJson = False,
    config: Config = None,
) -> None:
    """Say one colour in every space, and what can be done with it."""
    from primecoat.colour.ocio import config_name
    from primecoat.report import terminal
    from primecoat.report.swatch_document import gains_document, swatch_document
    from primecoat.report.swatch_view import gains_view, swatch_view

    if gains is not None:
        if colour is not None or space or through or against or from_space is None:
            raise UseError("Gains stand alone, in the space that --from names.", "See --help.")
        moved = workflow.gains(gains, from_space=from_space, to_space=to_space, config=config)
        used = config_name(config)
        if json:
            print(dumps(gains_document(moved, used)), end="")
        else:
            terminal.show(gains_view(moved, used))
        return
    if colour is None:
        raise UseError(
            "No colour is given; unquoted, a shell takes # for a remark.", "Write '#b5651d'."
        )
    if from_space is not None:
        raise UseError("--from goes with --gains.", "Name the space of a colour with --in.")
    made = workflow.swatch(
        colour,
        space=space,
        to_space=to_space,
        config=config,
        through=through,
        against=against,
        display=display,
    )
    if json:
        print(dumps(swatch_document(made)), end="")
    else:
        terminal.show(swatch_view(made))
