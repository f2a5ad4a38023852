"""Configs: what the one in use makes of the files, what is wrong with it, and one that fits."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict
from starlette.responses import JSONResponse

from primecoat import workflow
from primecoat.colour.ids import UNKNOWN
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.desk.held import Desk, Held
from primecoat.errors import UseError
from primecoat.report.config_check_document import config_check_document
from primecoat.report.config_read_document import config_read_document
from primecoat.report.config_write_document import config_write_document

router = APIRouter()

WRITTEN = "primecoat.ocio"
"""Name of the config that the desk writes, beside the scene."""


class Nothing(BaseModel):
    """A body that says nothing: name and place of the config are not for a page to choose."""

    model_config = ConfigDict(extra="forbid", strict=True)


@router.get("/api/config/names")
def names(desk: Held, which: str = "used", display: str = "", view: str = "") -> JSONResponse:
    """Say what a config reads every file as."""
    survey = desk.session.state.survey
    reading = workflow.read_config(
        survey, _which(desk, which), display=display or None, view=view or None
    )
    return JSONResponse(config_read_document(reading))


@router.get("/api/config/check")
def check(desk: Held, which: str = "used") -> JSONResponse:
    """Say what is wrong with a config."""
    return JSONResponse(config_check_document(workflow.check_config(_which(desk, which))))


@router.post("/api/config/write")
def write(desk: Held, body: Nothing) -> JSONResponse:
    """Write a config that reads every file as its name says, beside the scene."""
    readings = desk.session.state.survey.readings
    made = workflow.write_config(
        desk.session.home / WRITTEN,
        base=DEFAULT_CONFIG,
        from_space=None if readings.from_space == UNKNOWN else readings.from_space,
        to_space=readings.to_space,
    )
    return JSONResponse(config_write_document(made))


def _which(desk: Desk, which: str) -> str:
    if which == "used":
        return desk.session.state.survey.readings.config
    path = desk.session.home / WRITTEN
    if which != "written" or not path.is_file():
        raise UseError("There is no such config here.", "Ask for the one used, or write one first.")
    return str(path)
