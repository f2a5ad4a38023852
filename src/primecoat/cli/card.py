"""The verbs about the test card: write it, and read a render of it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, Config
from primecoat.cli.values import space_option
from primecoat.documents import dumps

card = typer.Typer(no_args_is_help=True, rich_markup_mode=None)


@card.command()
def write(
    folder: Annotated[
        Path, typer.Argument(help="Folder to make; empty if it is there.", show_default=False)
    ],
    json: AsJson = False,
    config: Config = None,
) -> None:
    """Write a test card: one scene in four formats, its pictures, a record of its true values."""
    from primecoat.report import terminal
    from primecoat.report.card_view import written_view

    written = workflow.write_card(folder, config=config)
    if json:
        print(dumps(written.record), end="")
    else:
        terminal.show(written_view(written))


@card.command()
def read(
    render: Annotated[
        Path, typer.Argument(help="Render of the card: OpenEXR, PNG, TIFF.", show_default=False)
    ],
    space: Annotated[
        str | None,
        space_option("--in", "Space of the numbers, if that is known."),
    ] = None,
    view: Annotated[
        list[str] | None,
        typer.Option(
            "--view",
            help="View that may be baked in, none for none; can be given again. Default: all.",
            metavar="VIEW",
        ),
    ] = None,
    json: AsJson = False,
    config: Config = None,
) -> None:
    """Say from one render of the card how its program read each kind of input, and what to set."""
    from primecoat.report import terminal
    from primecoat.report.card_document import card_document
    from primecoat.report.card_view import card_view

    found = workflow.read_card(render, space=space, views=tuple(view or ()), config=config)
    if json:
        print(dumps(card_document(found)), end="")
    else:
        terminal.show(card_view(found))
    raise typer.Exit(0 if found.ready else 1)
