"""Configs: what the one in use makes of the files, what is wrong with it, and one that fits."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse

from primecoat import workflow
from primecoat.colour.ids import UNKNOWN
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.config.look_file import CDL_SUFFIXES, LOOK_FOLDER, LUT_SUFFIXES
from primecoat.desk.held import Desk, Held
from primecoat.errors import UseError
from primecoat.location import printable
from primecoat.renders.match.files import works_in
from primecoat.report.config_check_document import config_check_document
from primecoat.report.config_read_document import config_read_document
from primecoat.report.config_write_document import config_write_document
from primecoat.workflow.configs import Look
from primecoat.workflow.listing import image_id

router = APIRouter()

WRITTEN = "primecoat.ocio"
"""Name of the first config that the desk writes, beside the scene; others get a number."""

LOOKS = 200
"""Most look files that are offered."""

Name = Annotated[str, Field(max_length=200)]


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class LookSaid(_Body):
    """A look file by its id, and what it does not say itself."""

    file: Name
    correction: Name = ""
    works_in: Name = ""
    gives: Name = ""
    clamp: bool | None = None


class Wanted(_Body):
    """The config that is wanted; its name and place are not for a page to choose."""

    look: LookSaid | None = None
    old_look: LookSaid | None = None
    another: bool = False


@router.get("/api/config/files")
def files(desk: Held) -> JSONResponse:
    """Give the config in use, those written here, and the look files that can be built in."""
    return JSONResponse(
        {
            "version": desk.session.state.version,
            "used": printable(desk.session.state.survey.readings.config),
            "written": [path.name for path in _written(desk)],
            "looks": [
                {
                    "id": id,
                    "name": printable(path.relative_to(desk.session.home).as_posix()),
                    "kind": "CDL" if path.suffix.lower() in CDL_SUFFIXES else "LUT",
                    **_known(desk, path),
                }
                for id, path in _looks(desk).items()
            ],
        }
    )


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
def write(desk: Held, body: Wanted) -> JSONResponse:
    """Write a config that reads every file as its name says, beside the scene."""
    readings = desk.session.state.survey.readings
    made = workflow.write_config(
        _free(desk) if body.another else desk.session.home / WRITTEN,
        base=DEFAULT_CONFIG,
        from_space=None if readings.from_space == UNKNOWN else readings.from_space,
        to_space=readings.to_space,
        look=_look(desk, body.look),
        old_look=_look(desk, body.old_look),
    )
    return JSONResponse(config_write_document(made))


def _which(desk: Desk, which: str) -> str:
    if which == "used":
        return desk.session.state.survey.readings.config
    wanted = WRITTEN if which == "written" else which
    for path in _written(desk):
        if path.name == wanted:
            return str(path)
    raise UseError("There is no such config here.", "Ask for the one used, or write one first.")


def _numbered(desk: Desk, number: int) -> Path:
    first = desk.session.home / WRITTEN
    return first if number == 1 else first.with_stem(f"{first.stem}_{number}")


def _written(desk: Desk) -> tuple[Path, ...]:
    """Return the configs that the desk wrote beside the scene, in order."""
    found = []
    for number in range(1, LOOKS):
        path = _numbered(desk, number)
        if not path.is_file():
            break
        found.append(path)
    return tuple(found)


def _free(desk: Desk) -> Path:
    return _numbered(desk, len(_written(desk)) + 1)


def _looks(desk: Desk) -> dict[str, Path]:
    """Return the look files beside the scene, in its folder of looks and saved here, by ids."""
    home = desk.session.home
    found = [
        path
        for folder in (*(look.folder for look in desk.looks.saved), home, home / LOOK_FOLDER)
        if folder.is_dir()
        for path in sorted(folder.iterdir())
        if path.suffix.lower() in (*CDL_SUFFIXES, *LUT_SUFFIXES) and path.is_file()
    ]
    return {image_id(path.relative_to(home).as_posix()): path for path in found[:LOOKS]}


def _known(desk: Desk, path: Path) -> dict[str, Any]:
    """Return what is known of a look file that this desk wrote; no file says it itself."""
    if all(path.parent != look.folder for look in desk.looks.saved):
        return {}
    space = works_in(path)
    return {"works_in": space, "gives": space, "clamp": False}


def _look(desk: Desk, said: LookSaid | None) -> Look | None:
    if said is None:
        return None
    path = _looks(desk).get(said.file)
    if path is None:
        raise UseError("There is no such look file here.", "Load the sheet anew.")
    return Look(
        file=f"{path}#{said.correction}" if said.correction else str(path),
        works_in=said.works_in or None,
        gives=said.gives or None,
        clamp=said.clamp,
    )
