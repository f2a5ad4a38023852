"""The scene: what it is, what state it is in, what wants doing first."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import JSONResponse

from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.desk.held import Held
from primecoat.desk.session import State
from primecoat.location import counted, printable
from primecoat.report.versions import versions
from primecoat.workflow.colours import views
from primecoat.workflow.listing import image_id
from primecoat.workflow.overview import Todo
from primecoat.workflow.switching import Effect

router = APIRouter()


@router.get("/api/scene")
def scene(desk: Held) -> JSONResponse:
    """Give the state of the scene."""
    state = desk.session.state
    readings = state.survey.readings
    counted_up = state.overview
    on_pictures = frozenset(code for row in state.rows for code in row.findings)
    shown = views(readings.config)
    display, view = (DEFAULT_DISPLAY, DEFAULT_VIEW)
    if (display, view) not in shown:
        display, view = shown[0]
    return JSONResponse(
        {
            "version": state.version,
            "target": printable(readings.inventory.target.as_posix()),
            "root": printable(readings.inventory.roots[0].as_posix()),
            "from": readings.from_space,
            "to": readings.to_space,
            "config": readings.config,
            "display": display,
            "view": view,
            "views": [{"display": one, "view": other} for one, other in shown],
            **versions(),
            "ready": counted_up.ready,
            "counts": dict(counted_up.counts),
            "findings": [
                asdict(f)
                | {"first": printable(f.first), "link": _finding_link(f.code, on_pictures)}
                for f in counted_up.findings
            ],
            "todo": [_todo(todo) for todo in counted_up.todo],
            "change": {
                "images": counted_up.images_moving,
                "colours": counted_up.colours_moving,
                "lights": counted_up.lights_moving,
                "words": counted_up.words,
            },
            "history": _history(desk),
            "stale": desk.session.stale,
            "job": desk.work.job,
            "renders": desk.session.asked.renders is not None,
        }
    )


@router.get("/api/switch")
def switch(desk: Held, display: str = DEFAULT_DISPLAY, view: str = DEFAULT_VIEW) -> JSONResponse:
    """Say what the switch changes, in numbers, the worst of each kind first."""
    state = desk.session.state
    found = state.switch(display, view)
    return JSONResponse(
        {
            "version": state.version,
            "display": found.display,
            "view": found.view,
            "counts": found.counts,
            "worst": [_effect(effect, state) for effect in found.worst],
        }
    )


def _effect(effect: Effect, state: State) -> dict[str, Any]:
    id = image_id(effect.where)
    numbers = not isinstance(effect.before, str)
    return {
        "kind": effect.kind,
        "where": printable(effect.where),
        "picture": id if state.has(id) else "",
        "owner": printable(effect.owner),
        "slot": effect.slot,
        "before": list(effect.before) if numbers else effect.before,
        "after": list(effect.after) if numbers else effect.after,
        "difference": effect.difference,
        "stops": effect.stops,
    }


def _todo(todo: Todo) -> dict[str, str]:
    picks = {"standing": todo.standing, "finding": todo.finding}
    query = urlencode({name: value for name, value in picks.items() if value})
    return {
        "what": printable(todo.what),
        "why": printable(todo.why),
        "severity": todo.severity,
        "link": "" if todo.place == "scene" else f"#/{todo.place}" + (f"?{query}" if query else ""),
    }


def _finding_link(code: str, on_pictures: frozenset[str]) -> str:
    """Return where all that has a finding is shown; empty where only the scene itself has it."""
    if code in on_pictures:
        return f"#/pictures?{urlencode({'finding': code})}"
    return "#/colours" if code.startswith("PC2") else ""


def _history(desk: Held) -> dict[str, Any]:
    runs, changing = desk.session.runs()
    standing = [run for run in runs if run.stands]
    cut_short = any(run.open for run in runs) and not changing
    words = ""
    if cut_short:
        words = "A run was cut short: finish it or take it back."
    elif standing:
        words = f"{counted(len(standing[-1].steps), 'operation')} applied last."
    return {
        "applied": words,
        "undoable": bool(standing) and not cut_short,
        "cut_short": cut_short,
        "runs": len(runs),
    }
