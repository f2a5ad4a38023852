"""The verb that opens the desk; what it needs is loaded only when it is used."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from primecoat.cli.options import AsJson, Config, FromSpace, HouseFile, Roots, SceneTo, Target
from primecoat.cli.surveyed import surveyed
from primecoat.cli.two_renders import (
    OldCorrections,
    OldCorrectionsClamp,
    OldCorrectionsGives,
    OldCorrectionsIn,
)
from primecoat.cli.values import space_option
from primecoat.cli.writing import print_document
from primecoat.errors import UseError
from primecoat.jobs.apart import pictures_apart


def desk(
    target: Target,
    port: Annotated[
        int, typer.Option("--port", help="Port to listen on; 0 for any that is free.")
    ] = 0,
    no_open: Annotated[bool, typer.Option("--no-open", help="Do not open the browser.")] = False,
    old: Annotated[
        str | None, typer.Option("--old", help="Old render, to compare.", metavar="PICTURE")
    ] = None,
    new: Annotated[str | None, typer.Option("--new", help="New render.", metavar="PICTURE")] = None,
    in_a: Annotated[str | None, space_option("--in-a", "Space of the old render.")] = None,
    in_b: Annotated[str | None, space_option("--in-b", "Space of the new render.")] = None,
    view_a: Annotated[
        str | None, typer.Option("--view-a", help="View of the old render.", metavar="VIEW")
    ] = None,
    view_b: Annotated[
        str | None, typer.Option("--view-b", help="View of the new render.", metavar="VIEW")
    ] = None,
    display: Annotated[
        str | None, typer.Option("--display", help="Display of the views.", show_default=False)
    ] = None,
    old_corrections: OldCorrections = None,
    old_corrections_in: OldCorrectionsIn = None,
    old_corrections_gives: OldCorrectionsGives = None,
    old_corrections_clamp: OldCorrectionsClamp = None,
    card: Annotated[
        list[str] | None,
        typer.Option(
            "--card",
            help="Render of the test card, to read; can be given again.",
            metavar="PICTURE",
        ),
    ] = None,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: SceneTo = None,
    config: Config = None,
    house: HouseFile = None,
) -> None:
    """Work on a scene in the browser: a page that only this machine can reach."""
    from primecoat.desk.renders import Renders
    from primecoat.desk.serve import serve
    from primecoat.desk.session import Asked

    if (old is None) != (new is None):
        raise UseError("One render alone cannot be compared.", "Give both --old and --new.")
    renders = None
    if old is not None and new is not None:
        renders = Renders(
            old=str(Path(old).absolute()),
            new=str(Path(new).absolute()),
            in_old=in_a,
            in_new=in_b,
            view_old=view_a,
            view_new=view_b,
            display=display,
            corrections=None if old_corrections is None else str(Path(old_corrections).absolute()),
            corrections_in=old_corrections_in,
            corrections_gives=old_corrections_gives,
            corrections_clamp=old_corrections_clamp,
        )
    asked = Asked(
        target=target,
        roots=tuple(root or ()),
        from_space=from_space,
        to_space=to_space,
        config=config,
        house=house,
        renders=renders,
        cards=tuple(str(Path(name).absolute()) for name in card or ()),
    )

    def tell(address: str) -> None:
        if json:
            print_document("primecoat.desk/1", target=str(target), address=address)
        else:
            print(f"The desk is open at {address}\nCtrl-C closes it.")
        sys.stdout.flush()

    with pictures_apart():  # no picture may bring the desk down
        found = surveyed(target, root, from_space, to_space, config, "", house=house)
        stopped = serve(asked, found, port=port, tell=tell, open_page=not no_open)
    if stopped:
        raise KeyboardInterrupt
