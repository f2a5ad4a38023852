"""The desk's application: routes, errors and files of the page, behind the guard."""

from __future__ import annotations

from fastapi import FastAPI
from starlette.types import ASGIApp

from primecoat.desk.errors import register_errors
from primecoat.desk.guard import Guard
from primecoat.desk.held import Desk
from primecoat.desk.routes import images, page, scene


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
    for router in (scene.router, images.router, page.router):
        app.include_router(router)
    return Guard(app, key=key, port=port)
