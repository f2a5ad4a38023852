"""Pictures: the list by ranges, and one picture's whole story."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.responses import JSONResponse

from primecoat.desk.held import Held
from primecoat.desk.routes.rows import row_document
from primecoat.location import printable
from primecoat.reading.judgement import ImageReading
from primecoat.report.survey_document import why_document
from primecoat.workflow.listing import Pick

router = APIRouter()

MOST = 500
"""Most rows of one answer."""

VALUES = 500
"""Most values of one facet that are told; the others are found by words."""


@router.get("/api/images")
def listed(
    desk: Held,
    words: str = "",
    standing: str = "",
    slot: str = "",
    owner: str = "",
    finding: str = "",
    order: str = "path",
    begin: Annotated[int, Query(alias="from", ge=0)] = 0,
    count: Annotated[int, Query(ge=0, le=MOST)] = 100,
    around: str = "",
) -> JSONResponse:
    """Give one range of the rows that are wanted, or that which begins just before a picture."""
    state = desk.session.state
    pick = Pick(
        words=words, standing=standing, slot=slot, owner=owner, finding=finding, order=order
    )
    found = state.picked(pick)
    if around:
        places = (max(0, at - 1) for at, row in enumerate(found.rows) if row.id == around)
        begin = next(places, len(found.rows))
    return JSONResponse(
        {
            "version": state.version,
            "total": len(found.rows),
            "all": len(state.rows),
            "facets": {facet: _most(counts) for facet, counts in found.facets.items()},
            "rows": [
                {**row_document(row), "cannot_show": cannot_show(state.image(row.id)[1])}
                for row in found.rows[begin : begin + count]
            ],
        }
    )


@router.get("/api/image/{id}")
def one(desk: Held, id: str) -> JSONResponse:
    """Give one picture's whole story."""
    state = desk.session.state
    row, image = state.image(id)
    document = why_document(image, state.survey.findings)
    story: dict[str, Any] = document["image"]
    header = story["header"] or {}
    return JSONResponse(
        {
            "version": state.version,
            **row_document(row),
            "candidates": story["candidates"],
            "uses": story["uses"],
            "evidence": story["evidence"],
            "would_change": document["would_change"],
            "header": _header(header),
            "size": [header["width"], header["height"]] if header else None,
            "channels": header.get("channels", []),
            "stored": header.get("pixel_type", ""),
            "layers": story["parts"],
            "frames": [printable(name) for name in story["files"]],
            "problems": [printable(m.problem) for m in image.record.measures],
            "cannot_show": cannot_show(image),
            "way_forward": _way_forward(image),
            "findings": document["findings"],
        }
    )


def cannot_show(image: ImageReading) -> str:
    """Return why no file of a picture can be shown; empty if one can."""
    measures = image.record.measures
    if any(not measure.problem for measure in measures):
        return ""
    said = [p.message for p in image.record.problems] + [m.problem for m in measures]
    return printable(next(iter(said), "There is no file."))


def _way_forward(image: ImageReading) -> str:
    if not image.record.measures:
        said = [p.remedy for p in image.record.problems]
        return printable(next(iter(said), "Put the file back, then survey again."))
    return "Export it again, or restore it from a copy, then survey again."


def _most(counts: Mapping[str, int]) -> dict[str, int]:
    """Return the values that most rows have, by name."""
    if len(counts) <= VALUES:
        return {printable(value): count for value, count in counts.items()}
    kept = sorted(counts, key=lambda value: -counts[value])[:VALUES]
    return {printable(value): counts[value] for value in sorted(kept)}


def _header(header: dict[str, Any]) -> list[list[str]]:
    """Return what the file says of itself as names with values."""
    if not header:
        return []
    texture = header["texture"] or {}
    return [
        ["format", header["format"]],
        ["size", f"{header['width']} × {header['height']}"],
        ["channels", ", ".join(header["channels"])],
        ["numbers", header["pixel_type"]],
        ["alpha", str(header["alpha"])],
        ["stored", ", ".join(header["storage"])],
        ["parts", str(header["parts"])],
        ["levels", str(header["levels"])],
        *([f"texture: {name}", str(value)] for name, value in texture.items() if value),
        *([s["kind"], s["words"]] for s in header["statements"]),
    ]
