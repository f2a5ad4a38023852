"""The change: survey again, plan, apply, stop, undo, recover, and the journal."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse

from primecoat.apply.execute import Done
from primecoat.apply.journal import Run
from primecoat.desk import long_work
from primecoat.desk.errors import AbsentError
from primecoat.desk.held import Desk, Held
from primecoat.desk.plans import Drawn
from primecoat.location import printable
from primecoat.plan.operations import Operation, WriteScene, as_document, describe, from_document
from primecoat.report.applied_document import applied_content
from primecoat.report.versions import versions
from primecoat.workflow.listing import image_id

router = APIRouter()

EDITS = 200
"""Most places of one scene that are told; the count says how many there are."""

STEPS = 2000
"""Most operations of one run that are told."""


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class Nothing(_Body):
    """A body that says nothing."""


class Route(_Body):
    """Which plan is wanted, and the ids of pictures that stay out of it."""

    version: int
    route: Annotated[str, Field(max_length=20)] = "tag"
    in_place: bool = False
    with_likely: bool = False
    leave_out: Annotated[list[str], Field(max_length=100_000)] = Field(default_factory=list)


class Order(_Body):
    """Which plan is to be applied, and the numbers of operations that a person agreed to."""

    version: int
    plan: Annotated[str, Field(max_length=64)]
    consent: Annotated[list[int], Field(max_length=100_000)] = Field(default_factory=list)
    dry_run: bool = False


class Undo(_Body):
    """Which state a person wants to go back from, and the run that is meant; empty for any."""

    version: int
    run: Annotated[str, Field(max_length=64)] = ""


class Cancel(_Body):
    """Which work is meant; empty for any."""

    job: Annotated[str, Field(max_length=20)] = ""


class Recover(_Body):
    """Whether a run that was cut short is taken back."""

    back: bool = False


@router.post("/api/survey")
def survey(desk: Held, body: Nothing) -> JSONResponse:
    """Survey again."""
    return JSONResponse({"version": long_work.survey_again(desk).version})


@router.post("/api/plan")
def draw_up(desk: Held, route: Route) -> JSONResponse:
    """Draw up a plan."""
    drawn = long_work.draw_up(
        desk,
        route.version,
        route.route,
        in_place=route.in_place,
        with_likely=route.with_likely,
        leave_out=route.leave_out,
    )
    return JSONResponse(_plan(desk, drawn))


@router.get("/api/plan")
def newest_plan(desk: Held) -> JSONResponse:
    """Give the plan that was drawn up last."""
    drawn = desk.session.plans.newest
    if drawn is None:
        raise AbsentError("No plan was drawn up yet.", "Draw one up.")
    return JSONResponse(_plan(desk, drawn))


@router.post("/api/apply")
def apply(desk: Held, order: Order) -> JSONResponse:
    """Carry a plan out, or only show what it would do."""
    if order.dry_run:
        state = desk.session.expect(order.version, whole=True)
        plan = desk.session.plans.get(order.plan, state.version).plan
        done = tuple(Done(operation=o, method="not done") for o in plan.operations)
    else:
        applied = long_work.carry_out(desk, order.version, order.plan, frozenset(order.consent))
        plan, done = applied.plan, applied.done
    return JSONResponse(
        {
            "version": desk.session.state.version,
            "document": "primecoat.applied/1",
            **versions(),
            **applied_content(plan, done, dry_run=order.dry_run),
            "scenes": [o.target for o in plan.operations if isinstance(o, WriteScene)],
        }
    )


@router.post("/api/cancel")
def cancel(desk: Held, body: Cancel) -> JSONResponse:
    """Ask the work under way to stop where it can."""
    return JSONResponse({"job": desk.work.stop(body.job)})


@router.post("/api/undo")
def undo(desk: Held, body: Undo) -> JSONResponse:
    """Take the newest run back."""
    undone = long_work.undo(desk, body.version, body.run)
    return JSONResponse(
        {
            "version": desk.session.state.version,
            "operations": [as_document(step.operation) for step in undone],
            "words": [printable(describe(step.operation)) for step in undone],
        }
    )


@router.post("/api/recover")
def recover(desk: Held, body: Recover) -> JSONResponse:
    """Finish a run that was cut short, or take it back."""
    outcome = long_work.recover(desk, back=body.back)
    return JSONResponse({"version": desk.session.state.version, **asdict(outcome)})


@router.get("/api/journal")
def journal(desk: Held) -> JSONResponse:
    """Give all runs, the newest first, and which plan waits to be applied."""
    runs, changing = desk.session.runs()
    newest = desk.session.plans.newest
    return JSONResponse(
        {
            "version": desk.session.state.version,
            "job": desk.work.job,
            "plan": newest.id if newest and newest.version == desk.session.state.version else "",
            "cut_short": any(run.open for run in runs) and not changing,
            "runs": [_run(run, changing) for run in reversed(runs)],
        }
    )


def _plan(desk: Desk, drawn: Drawn) -> dict[str, Any]:
    plan = drawn.plan
    version = desk.session.state.version
    operations = [
        {
            "n": number,
            "route": plan.route,
            **_operation(operation),
            "picture": image_id(path) if path else "",
            "consent": consent,
        }
        for number, (operation, path, consent) in enumerate(
            zip(plan.operations, drawn.pictures, drawn.consent, strict=True)
        )
    ]
    kinds = [entry["kind"] for entry in operations]
    return {
        "version": version,
        "plan": drawn.id,
        "current": drawn.version == version,
        "route": plan.route,
        "in_place": plan.in_place,
        "with_likely": drawn.with_likely,
        "left_out": list(drawn.left_out),
        "from": plan.from_space,
        "to": plan.to_space,
        "operations": operations,
        "held": [
            {
                "id": image_id(held.where),
                "picture": desk.session.state.has(image_id(held.where)),
                "where": printable(held.where),
                "why": printable(held.why),
                "remedy": printable(held.remedy),
            }
            for held in plan.held
        ],
        "findings": [finding.as_document() for finding in plan.findings],
        "counts": {
            "operations": len(operations),
            "held": len(plan.held),
            "consent": sum(bool(why) for why in drawn.consent),
            **{kind: kinds.count(kind) for kind in dict.fromkeys(kinds)},
        },
    }


def _operation(operation: Operation) -> dict[str, Any]:
    document = as_document(operation)
    edits = document.get("edits") or ()
    source = document.get("source") or f"{document['scene']}#{document['place']}"
    return {
        "kind": document["do"],
        "where": printable(source),
        "before": printable(source),
        "after": printable(operation.target),
        "reading": document.get("reading", ""),
        "words": printable(describe(operation)),
        "edits": [
            {key: printable(text) for key, text in edit.items()} for edit in list(edits)[:EDITS]
        ],
        "places": len(edits),
    }


def _run(run: Run, changing: bool) -> dict[str, Any]:
    return {
        "id": run.id,
        "plan": run.plan_sha256[:16],
        "target": printable(run.target),
        "state": _state(run, changing),
        "count": len(run.steps),
        "operations": [
            {
                "n": step.number,
                "words": printable(describe(from_document(step.operation))),
                "state": step.state,
                "method": step.method,
            }
            for step in run.steps[:STEPS]
        ],
    }


def _state(run: Run, changing: bool) -> str:
    if run.undone:
        return "taken back"
    if run.open:
        return "under way" if changing else "cut short"
    return "stands"
