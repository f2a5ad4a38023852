"""PC112, PC113: what the parts of a file state does not go together, or nobody knows it."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.images.header import ImageHeader, PartHeader
from primecoat.images.layers import layers_of
from primecoat.reading.readings import Readings
from primecoat.reading.statements import contradicts, is_shared, ruling_statement

_INTEROP_ID = "colorInteropID"


def check(readings: Readings) -> Iterator[Finding]:
    """Yield findings for files of several parts or layers: one of a kind for each file."""
    for image in readings.images:
        header = image.record.header
        if header is None or not header.part_headers:
            continue
        told = _between(header) or _within(header)
        if told:
            yield finding(
                "parts_disagree",
                image.record.path,
                f"Its parts do not agree about their colour: {told}.",
                "Find out which is right, and write the file again with one statement for each "
                "part: the space of its colour, or data.",
            )
        strange = [
            f"{_named(index, part)} says {statement.words}"
            for index, part in enumerate(header.part_headers)
            for statement in part.statements
            if statement.kind == _INTEROP_ID and statement.firm and statement.reading is None
        ]
        if strange:
            yield finding(
                "part_statement_is_not_known",
                image.record.path,
                f"A part states a space that has no known name: {'; '.join(strange)}.",
                "Find out what the name stands for, and write its Color Interop ID into the part.",
            )


def _between(header: ImageHeader) -> str:
    """Return in words which colour parts state different spaces; empty if none do."""
    stated: dict[str, str] = {}
    for index, part in enumerate(header.part_headers):
        ruling = ruling_statement(part.statements)
        if ruling is None or not ruling.firm or ruling.reading in (None, DATA):
            continue
        if any(layer.kind in ("colour", "grey") for layer in layers_of(part)):
            stated.setdefault(str(ruling.reading), _named(index, part))
    if len(stated) < 2:
        return ""
    return ", ".join(f"{where} states {reading}" for reading, where in stated.items())


def _within(header: ImageHeader) -> str:
    """Return in words where a part of an OpenEXR file contradicts itself; empty if none does."""
    found = []
    for index, part in enumerate(header.part_headers if header.format == "openexr" else ()):
        ruling = ruling_statement(part.statements)
        for other in part.statements if ruling else ():
            if other is ruling or is_shared(other, header.part_headers):
                continue
            if ruling and contradicts(ruling, other):
                found.append(f"{_named(index, part)} says {ruling.words}, but {other.words}")
    return "; ".join(found)


def _named(index: int, part: PartHeader) -> str:
    return f"part {index}" + (f" ({part.name})" if part.name else "")
