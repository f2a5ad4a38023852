"""The proof: what is traced or kept, its pictures, and tracing one."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse, Response

from primecoat.desk.held import Held
from primecoat.desk.proofs import Wanted
from primecoat.location import printable
from primecoat.proof.paths.causes import Cause
from primecoat.proof.paths.outcome import Proof
from primecoat.report.proof_document import proof_document
from primecoat.report.proof_shown import cause_end, change_end, proof_png

router = APIRouter()

_Name = Annotated[str, Field(max_length=200)]


class Order(BaseModel):
    """Which proof is wanted."""

    model_config = ConfigDict(extra="forbid", strict=True)

    version: int
    width: Annotated[int, Field(ge=16, le=2048)] = 480
    height: Annotated[int, Field(ge=16, le=2048)] = 270
    samples: Annotated[int, Field(ge=1, le=1024)] = 16
    causes: Annotated[int, Field(ge=0, le=32)] = 8
    display: _Name
    view: _Name
    old_view: _Name | None = None
    anew: bool = False


@router.get("/api/proof")
def proof(desk: Held, brief: bool = False) -> JSONResponse:
    """Give the proof, if there is one, and whether pictures of another are coming."""
    found = desk.proofs.of(desk.session)
    state = desk.session.state
    return JSONResponse(
        {
            "version": state.version,
            "turn": desk.proofs.turn,
            "job": desk.work.job,
            "coming": desk.proofs.so_far is not None,
            "current": found is not None and found[1] == state.version,
            "proof": None if found is None or brief else _document(found[0]),
        }
    )


@router.post("/api/proof")
def trace(desk: Held, order: Order) -> JSONResponse:
    """Trace a proof, or read the same one back."""
    wanted = Wanted(
        size=(order.width, order.height),
        samples=order.samples,
        causes=order.causes,
        display=order.display,
        view=order.view,
        old_view=order.old_view,
        anew=order.anew,
    )
    made = desk.proofs.trace(desk.session, desk.work, order.version, wanted)
    return JSONResponse({"turn": desk.proofs.turn, "proof": _document(made)})


@router.get("/proof/{name}")
def picture(desk: Held, name: str) -> Response:
    """Give a picture or a map of the proof that is being traced, or else of the last one."""
    return Response(proof_png(desk.proofs.pictured(), name), media_type="image/png")


def _document(found: Proof) -> dict[str, Any]:
    document = proof_document(found) | {"change_end": change_end(found)}
    for entry, cause in zip(
        (document["causes"] or {}).get("causes", ()), _causes(found), strict=True
    ):
        entry["end"] = cause_end(cause)
    return {key: _shown(value) for key, value in document.items()}


def _causes(found: Proof) -> tuple[Cause, ...]:
    return found.causes.causes if found.causes else ()


def _shown(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _shown(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_shown(one) for one in value]
    return printable(value) if isinstance(value, str) else value
