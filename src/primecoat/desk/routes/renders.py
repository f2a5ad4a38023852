"""The two renders that the desk was opened with, compared."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import JSONResponse

from primecoat.desk.held import Held
from primecoat.location import printable
from primecoat.report.compare_document import compare_document

router = APIRouter()


@router.get("/api/renders")
def renders(desk: Held) -> JSONResponse:
    """Say how the two renders differ; nothing if the desk was opened without."""
    asked = desk.session.asked.renders
    if asked is None:
        return JSONResponse({"old": None, "new": None, "comparison": None})
    found = asked.compared(desk.session.asked.config)
    return JSONResponse(
        {
            "old": printable(asked.old),
            "new": printable(asked.new),
            "comparison": compare_document(found),
        }
    )
