"""The desk's application: routes, errors and files of the page, behind the guard."""

from __future__ import annotations

from fastapi import FastAPI
from starlette.types import ASGIApp

from primecoat.desk.errors import register_errors
from primecoat.desk.guard import Guard
from primecoat.desk.held import Desk
from primecoat.desk.routes import (
    card,
    changing,
    colours,
    configs,
    deciding,
    images,
    matching,
    page,
    pictures,
    proof,
    renders,
    scene,
)


def desk_app(desk: Desk, *, key: str, port: int) -> ASGIApp:
    """Return the application for one desk.

    Parameters
    ----------
    key
        First segment of every path.
    port
        Port that it will be served on.
    """
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, redirect_slashes=False)
    app.state.desk = desk
    register_errors(app)
    for routes in (
        scene,
        images,
        deciding,
        changing,
        colours,
        configs,
        renders,
        matching,
        pictures,
        proof,
        card,
    ):
        app.include_router(routes.router)
    app.include_router(page.router)  # last: it answers every address that is left
    return Guard(app, key=key, port=port)
