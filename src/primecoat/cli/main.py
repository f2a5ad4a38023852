"""The command line: every verb by its name, in the order of the help."""

from __future__ import annotations

from typing import Annotated

import typer

from primecoat.cli.card import card
from primecoat.cli.changing import apply, plan, recover, undo
from primecoat.cli.compare import compare
from primecoat.cli.config import config
from primecoat.cli.corrections import corrections
from primecoat.cli.desk import desk
from primecoat.cli.handover import handover
from primecoat.cli.match import match
from primecoat.cli.passing import gate
from primecoat.cli.proof import proof
from primecoat.cli.run import run_app
from primecoat.cli.showing import demo, report, sheet
from primecoat.cli.surveying import decide, survey, why
from primecoat.cli.swatch import swatch
from primecoat.jobs.apart import pictures_apart
from primecoat.version import __version__

app = typer.Typer(
    name="primecoat",
    help="Prime a 3D scene for wide-gamut rendering: find how every image and colour must be "
    "read, make it explicit, and be able to take it back.",
    epilog="Exit codes: 0 done; 1 done but not ready, or refused; 2 wrong use or unreadable input; "
    "3 a fault of the program; 130 interrupted.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:
    if asked:
        from primecoat.report.installed import library_versions
        from primecoat.scenes.added import added_endings, made_by

        print(f"primecoat {__version__}")
        for library, version in library_versions().items():
            print(f"{library} {version}")
        for ending in added_endings():
            print(f"reader of {ending}: {made_by(ending)}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option("--version", help="Versions of primecoat and libraries.", callback=_version),
    ] = False,
) -> None:
    """Prime a 3D scene for wide-gamut rendering."""


for verb in (
    *(demo, survey, why, decide, plan, apply, undo, recover, gate, report, sheet),
    *(swatch, corrections, compare, match, handover, desk, proof),
):
    app.command()(verb)
app.add_typer(card, name="card", help="Write a test card, and read a render of it.")
app.add_typer(config, name="config", help="Write, check and try OpenColorIO configs.")


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; return the exit code."""
    return run_app(app, arguments)


def run_process() -> int:
    """Run the command line as a process of its own, which no decoder may bring down."""
    with pictures_apart():
        return run()
