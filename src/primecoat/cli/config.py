"""The verbs about OpenColorIO configs: write one, check one, see what one reads."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, FromSpace, HouseFile, Roots, SceneTo, Target, ToSpace
from primecoat.cli.surveyed import surveyed
from primecoat.cli.values import built_in_configs, space_option
from primecoat.colour.defaults import DEFAULT_CONFIG, DEFAULT_TO
from primecoat.documents import dumps
from primecoat.errors import UseError

config = typer.Typer(no_args_is_help=True, rich_markup_mode=None)

Config = Annotated[
    str,
    typer.Argument(help="Config file, or full name of a built-in one.", show_default=False),
]


@config.command()
def write(
    out: Annotated[Path, typer.Option("--out", help="File to write; ends in .ocio.")],
    base: Annotated[
        str,
        typer.Option(
            "--base",
            help="Built-in config to start from, by its full name.",
            autocompletion=built_in_configs,
        ),
    ] = DEFAULT_CONFIG,
    from_space: Annotated[
        str | None,
        space_option(
            "--from", "Working space of before the switch; its view is kept beside the ACES views."
        ),
    ] = None,
    to_space: ToSpace = DEFAULT_TO,
    old_look: Annotated[
        str | None,
        typer.Option("--old-look", help="CDL or LUT that the old view went through: FILE[#ID]."),
    ] = None,
    old_look_in: Annotated[
        str | None,
        space_option("--old-look-in", "Space that the old look works in."),
    ] = None,
    old_look_gives: Annotated[
        str | None,
        space_option("--old-look-gives", "Space that comes out of it."),
    ] = None,
    old_look_clamp: Annotated[
        bool | None,
        typer.Option(
            "--old-look-clamp/--no-old-look-clamp", help="Whether its CDL clamps to 0 to 1."
        ),
    ] = None,
    look: Annotated[
        str | None, typer.Option("--look", help="CDL or LUT to offer as a look: FILE[#ID].")
    ] = None,
    look_in: Annotated[
        str | None,
        space_option("--look-in", "Space that the look works in."),
    ] = None,
    look_gives: Annotated[
        str | None,
        space_option("--look-gives", "Space that comes out of it."),
    ] = None,
    look_clamp: Annotated[
        bool | None,
        typer.Option("--look-clamp/--no-look-clamp", help="Whether its CDL clamps to 0 to 1."),
    ] = None,
    json: AsJson = False,
) -> None:
    """Write a config that reads every file as its name says; prove it before it gets its name."""
    from primecoat.report import terminal
    from primecoat.report.config_write_document import config_write_document
    from primecoat.report.config_write_view import config_write_view

    made = workflow.write_config(
        out,
        base=base,
        from_space=from_space,
        to_space=to_space,
        old_look=_look("old-look", old_look, old_look_in, old_look_gives, old_look_clamp),
        look=_look("look", look, look_in, look_gives, look_clamp),
    )
    if json:
        print(dumps(config_write_document(made)), end="")
    else:
        terminal.show(config_write_view(made))


@config.command()
def check(name: Config, json: AsJson = False) -> None:
    """Build everything in a config, and say what is wrong with it."""
    from primecoat.report import terminal
    from primecoat.report.config_check_document import config_check_document
    from primecoat.report.config_check_view import config_check_view

    found = workflow.check_config(name)
    if json:
        print(dumps(config_check_document(found)), end="")
    else:
        terminal.show(config_check_view(found))
    raise typer.Exit(0 if found.sound else 1)


@config.command()
def read(
    name: Config,
    target: Target,
    display: Annotated[
        str | None, typer.Option("--display", help="Display that costs are seen on.")
    ] = None,
    view: Annotated[str | None, typer.Option("--view", help="View of that display.")] = None,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: SceneTo = None,
    house: HouseFile = None,
) -> None:
    """Say what a config reads every file of a scene as, by which rule, and what that does."""
    from primecoat.report import terminal
    from primecoat.report.config_read_document import config_read_document
    from primecoat.report.config_read_view import config_read_view

    found = surveyed(target, root, from_space, to_space, None, "", house=house)
    reading = workflow.read_config(found, name, display=display, view=view)
    if json:
        print(dumps(config_read_document(reading)), end="")
    else:
        terminal.show(config_read_view(reading))
    raise typer.Exit(0 if reading.ready else 1)


def _look(
    option: str, file: str | None, works_in: str | None, gives: str | None, clamp: bool | None
) -> workflow.Look | None:
    if file is not None:
        return workflow.Look(file=file, works_in=works_in, gives=gives, clamp=clamp)
    if (works_in, gives, clamp) != (None, None, None):
        raise UseError(f"Something is said of a look that is not given (--{option}).", "Give it.")
    return None
