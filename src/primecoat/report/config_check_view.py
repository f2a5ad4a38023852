"""The check of a config for a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from primecoat.config.check import ConfigCheck
from primecoat.findings import Finding
from primecoat.location import counted, printable

_COLOURS = {"error": "bold red", "warning": "bold yellow", "note": "bold"}


def config_check_view(check: ConfigCheck) -> RenderableType:
    """Return the findings, the gravest first, then what was checked and the outcome."""
    ranked = sorted(check.findings, key=lambda found: list(_COLOURS).index(found.severity))
    return Group(*(_entry(found) for found in ranked), *_outcome(check))


def _entry(found: Finding) -> RenderableType:
    place = found.location.place if found.location else ""
    head = Text.assemble(
        (f"{found.code} {found.severity}", _COLOURS[found.severity]),
        f": {printable(place or found.where)}",
    )
    return Group(
        head, Text(f"    {printable(found.message)}"), Text(f"    {printable(found.remedy)}")
    )


def _outcome(check: ConfigCheck) -> tuple[Text, ...]:
    done = check.counts
    told = [
        counted(sum(found.severity == severity for found in check.findings), severity)
        for severity in _COLOURS
    ]
    if not check.version:
        return (Text(f"{printable(check.config)} could not be loaded: {', '.join(told)}."),)
    parts = (
        counted(done.spaces, "space"),
        counted(done.views, "view"),
        counted(done.looks, "look"),
        counted(done.named_transforms, "named transform"),
        counted(done.rules, "file rule"),
        counted(done.roles, "role"),
        counted(done.files, "LUT file"),
    )
    return (
        Text(f"Checked: {', '.join(parts)}; {counted(done.processors, 'processor')} built."),
        Text(f"{printable(check.config)} (version {check.version}): {', '.join(told)}."),
    )
