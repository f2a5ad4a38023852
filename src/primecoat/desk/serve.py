"""Open the desk on this machine, and close it again."""

from __future__ import annotations

import contextlib
import os
import socket
import webbrowser
from collections.abc import Callable
from types import FrameType

import uvicorn

from primecoat.checks.survey import Survey
from primecoat.desk.app import desk_app
from primecoat.desk.guard import new_key
from primecoat.desk.held import Desk, build_desk
from primecoat.desk.session import Asked
from primecoat.desk.watch import Watch
from primecoat.errors import UseError
from primecoat.jobs import APART
from primecoat.report.shown.apart import decode_apart

HOST = "127.0.0.1"
"""The only address that it listens on; other machines cannot reach it."""


def serve(
    asked: Asked,
    survey: Survey,
    *,
    port: int = 0,
    tell: Callable[[str], None],
    open_page: bool = True,
) -> bool:
    """Serve a desk until the process is interrupted.

    Parameters
    ----------
    port
        Port to listen on; 0 for any that is free.
    tell
        Told the address as soon as it can be asked.
    open_page
        Whether to open it in the browser.

    Returns
    -------
    bool
        Whether work was under way when it was closed.

    Raises
    ------
    UseError
        If the port cannot be had.
    """
    with _listening(port) as listening:
        port = listening.getsockname()[1]
        key = new_key()
        desk = build_desk(asked, survey)
        server = _Server(desk, desk_app(desk, key=key, port=port))
        address = f"http://{HOST}:{port}/{key}/"
        tell(address)
        if open_page:
            webbrowser.open(address)
        decode_apart(apart=os.environ.get(APART) != "0")
        try:
            with Watch(desk.session):
                with contextlib.suppress(KeyboardInterrupt):  # how a desk is closed
                    server.run(sockets=[listening])
                return desk.work.close()
        finally:
            decode_apart(apart=False)


def _listening(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((HOST, port))
        listening.listen(128)
    except (OSError, OverflowError) as error:
        listening.close()
        raise UseError(
            f"Cannot listen on port {port}: {error}.", "Give another --port, or none for any."
        ) from error
    return listening


class _Server(uvicorn.Server):
    """A server that ends its streams of events when it is told to stop."""

    def __init__(self, desk: Desk, app: object) -> None:
        super().__init__(
            uvicorn.Config(
                app,  # type: ignore[arg-type]
                lifespan="off",
                ws="none",
                log_config=None,
                log_level="critical",  # what goes wrong is told in answers, faults of ours in a log
                access_log=False,
                server_header=False,
                date_header=False,
                timeout_graceful_shutdown=5,
                timeout_keep_alive=30,
                h11_max_incomplete_event_size=32_768,
            )
        )
        self._desk = desk

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop: at the first signal in good order, at a second interrupt at once."""
        self._desk.events.close()
        self._desk.work.stop()
        super().handle_exit(sig, frame)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Close, and end the workers here: a signal is raised again after it and ends us."""
        await super().shutdown(sockets)
        decode_apart(apart=False)
