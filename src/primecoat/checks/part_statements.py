"""PC111 to PC113: what a file or its parts state does not go together, or nobody knows it."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.images.header import ColourStatement, ImageHeader, PartHeader
from primecoat.images.layers import layers_of
from primecoat.reading.readings import Readings
from primecoat.reading.statements import contradicts, is_shared, ruling_statement

_INTEROP_ID = "colorInteropID"


def check(readings: Readings) -> Iterator[Finding]:
    """Yield findings for files whose statements clash or are not known: one of a kind each."""
    for image in readings.images:
        header = image.record.header
        if header is None:
            continue
        twice = _against_itself(header)
        if twice and image.reading != DATA:
            yield finding(
                "statements_contradict",
                image.record.path,
                f"The file contradicts itself: {twice}.",
                "Find out which is right, say so with 'primecoat decide', and write the file again "
                "with that statement alone; the bake route does so.",
            )
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
        own = tuple(s for s in part.statements if not is_shared(s, header.part_headers))
        ruling = ruling_statement(part.statements)
        found += [f"{_named(index, part)} says {words}" for words in _contradictions(ruling, own)]
    return "; ".join(found)


def _against_itself(header: ImageHeader) -> str:
    """Return in words how an OpenEXR file of one part contradicts itself; empty if it does not."""
    if header.format != "openexr" or header.part_headers:
        return ""
    ruling = ruling_statement(header.statements)
    return "; ".join(_contradictions(ruling, header.statements))


def _contradictions(
    ruling: ColourStatement | None, statements: tuple[ColourStatement, ...]
) -> list[str]:
    """Return in words which statements contradict the one that rules."""
    if ruling is None:
        return []
    others = [s for s in statements if s is not ruling and contradicts(ruling, s)]
    return [f"{ruling.words}, but {other.words}" for other in others]


def _named(index: int, part: PartHeader) -> str:
    return f"part {index}" + (f" ({part.name})" if part.name else "")
