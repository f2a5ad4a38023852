"""The verb that lets scenes pass, or not."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from primecoat import workflow
from primecoat.cli.options import AsJson, FromSpace, HouseFile, Roots
from primecoat.cli.surveyed import surveyed, tell_unread_house
from primecoat.cli.writing import check_folder_of, print_document
from primecoat.errors import UseError
from primecoat.files import replace_bytes
from primecoat.location import printable

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET


def gate(
    targets: Annotated[
        list[Path], typer.Argument(help="Scene file or folder; or several.", show_default=False)
    ],
    json: AsJson = False,
    junit: Annotated[
        Path | None,
        typer.Option("--junit", help="File for the results as JUnit XML, for CI.", metavar="FILE"),
    ] = None,
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
    may_be_empty: Annotated[
        bool,
        typer.Option(
            "--may-be-empty", help="Pass a target that holds no image, colour or light as well."
        ),
    ] = False,
) -> None:
    """Pass only if every image and colour is explicit; name each that is not."""
    if json and len(targets) > 1:
        raise UseError(
            "One document tells of one target.", "Give one with --json, or ask for --junit."
        )
    if junit is not None:
        _check_is_free(junit)
    passed = []
    tell_unread_house(targets, root, house)
    for target in targets:
        found = surveyed(
            target,
            root,
            from_space,
            None,
            config,
            "",
            house=house,
            tells_house=False,
            tells_unread=False,
            verify=True,
        )
        passed.append(workflow.gate(found, config=config, may_be_empty=may_be_empty))
        if not json:
            if len(targets) > 1:
                print(printable(f"{target}:"))
            _show(passed[-1])
    if json:
        [result] = passed
        print_document(
            "primecoat.gate/1",
            open=result.open,
            explicit=result.explicit,
            left=[{"where": h.where, "why": h.why, "remedy": h.remedy} for h in result.left],
            findings=[f.as_document() for f in result.findings],
            closed_by=list(result.closed_by),
            house=result.survey.readings.house.as_document(),
        )
    if junit is not None:
        from primecoat.report.junit import junit_text

        suites = [_suite(str(at), result) for at, result in zip(targets, passed, strict=True)]
        replace_bytes(junit, junit_text(suites).encode())
        print(printable(f"primecoat: JUnit results in {junit}"), file=sys.stderr)
    raise typer.Exit(0 if all(result.open for result in passed) else 1)


def _show(result: workflow.Gate) -> None:
    from primecoat.report import terminal

    terminal.show(terminal.left_view(result.left, result.explicit, empty=result.empty))
    if result.closing:
        terminal.show(terminal.findings_view(result.closing))
    house = result.survey.readings.house
    if house.file:
        print(f"House conventions {house.words}.")
    print(f"The gate is {'open' if result.open else 'closed'}.")


def _suite(target: str, result: workflow.Gate) -> ET.Element:
    from primecoat.report.junit import junit_suite
    from primecoat.report.versions import versions

    readings = result.survey.readings
    known = versions()
    return junit_suite(
        target,
        explicit=result.explicit_places,
        left=result.left,
        closing=result.closing,
        others=[f for f in result.findings if f not in result.closing],
        properties={
            "primecoat": known["primecoat"],
            **known["libraries"],
            "config": readings.config,
            **({"house": readings.house.words} if readings.house.file else {}),
        },
    )


def _check_is_free(file: Path) -> None:
    """Refuse to write results over anything but results."""
    from primecoat.report.junit import is_junit_of_ours

    check_folder_of(file)
    if not file.exists():
        return
    try:
        ours = is_junit_of_ours(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        ours = False
    if not ours:
        raise UseError(f"{file} is there and holds no results of ours.", "Give another name.")
