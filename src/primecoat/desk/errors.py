"""What the desk refuses with: one shape for all addresses.

``{"error": {"code": 409, "what": "...", "remedy": "..."}}``
"""

from __future__ import annotations

import tempfile
import traceback
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

from primecoat.errors import InputError, PrimecoatError, RefusedError, UseError
from primecoat.location import printable
from primecoat.version import __version__


class StaleError(RefusedError):
    """The page acts on a state that is not there any more; nothing was changed."""


class BusyError(RefusedError):
    """Other work is under way; nothing was changed."""


class StoppedError(RefusedError):
    """A person stopped the work."""


class AbsentError(UseError):
    """There is no such thing in the survey."""


_CODES: tuple[tuple[type[PrimecoatError], int], ...] = (
    (AbsentError, 404),
    (RefusedError, 409),
    (InputError, 422),
    (UseError, 400),
)


def error_content(error: PrimecoatError) -> dict[str, Any]:
    """Return an error as it stands in a response, under ``error``.

    Examples
    --------
    >>> error_content(BusyError("A plan is being made.", "Wait for it."))["code"]
    409
    """
    code = next((code for kind, code in _CODES if isinstance(error, kind)), 500)
    return _content(code, error.message, error.remedy)


def error_response(code: int, what: str, remedy: str) -> JSONResponse:
    """Return a response in the one shape of errors."""
    return JSONResponse({"error": _content(code, what, remedy)}, status_code=code)


def fault_content() -> dict[str, Any]:
    """Return what is said of a fault of our own, and keep its trace in a file."""
    with tempfile.NamedTemporaryFile(
        "w", prefix="primecoat-", suffix=".log", delete=False, encoding="utf-8"
    ) as log:
        log.write(f"primecoat {__version__}\n{traceback.format_exc()}")
    what = f"This is a fault of primecoat {__version__}, not yours."
    return _content(500, what, f"Please report it with {Path(log.name)}.")


def fault_response() -> JSONResponse:
    """Return the response to a request that met a fault of our own."""
    return JSONResponse({"error": fault_content()}, status_code=500)


def register_errors(app: FastAPI) -> None:
    """Give every error of an application the one shape."""
    app.add_exception_handler(PrimecoatError, _primecoat_error)
    app.add_exception_handler(RequestValidationError, _validation_error)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(OSError, _system_error)
    app.add_exception_handler(Exception, _fault)


async def _primecoat_error(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, PrimecoatError)
    content = error_content(error)
    return JSONResponse({"error": content}, status_code=content["code"])


async def _validation_error(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    told = "; ".join(
        f"{'.'.join(str(part) for part in fault['loc'][1:]) or 'body'}: {fault['msg']}"
        for fault in error.errors()[:5]
    )
    return error_response(400, f"The request cannot be understood ({told}).", "Reload the page.")


async def _http_error(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)
    if error.status_code == 404:
        return error_response(404, "There is nothing at this address.", "Go to the desk's page.")
    return error_response(error.status_code, str(error.detail), "")


async def _system_error(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, OSError)
    place = f" {error.filename}" if error.filename else ""
    return error_response(
        409, f"The system refused{place}: {error.strerror or error}.", "Check name and rights."
    )


async def _fault(request: Request, error: Exception) -> JSONResponse:
    return fault_response()


def _content(code: int, what: str, remedy: str) -> dict[str, Any]:
    return {"code": code, "what": printable(what), "remedy": printable(remedy)}
