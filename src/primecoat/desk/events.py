"""What the server tells every open window, as server-sent events.

``changed`` {version, why, words}, ``began`` {job}, ``progress`` {job, done, of, rate, left,
words}, ``done`` {job}, ``failed`` {job, error}. On opening, ``hello`` {version}.
"""

from __future__ import annotations

import asyncio
import json
import threading
from collections.abc import AsyncIterator
from typing import Any

from primecoat.desk.errors import BusyError

WINDOWS = 16
"""Most windows at one time."""

WAITING = 256
"""Events kept for a window that does not read; then the oldest progress is lost."""

SILENCE = 15.0
"""Seconds after which a line is sent that means nothing, so that a lost window is noticed."""


_PROGRESS = "event: progress\n"


class Events:
    """Everyone who listens; told from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._listeners: dict[asyncio.Queue[str | None], asyncio.AbstractEventLoop] = {}
        self._closed = False

    def tell(self, event: str, **facts: Any) -> None:
        """Tell all windows."""
        text = f"event: {event}\ndata: {json.dumps(facts)}\n\n"
        self._send(text)

    def close(self) -> None:
        """End every stream, so that the server can stop."""
        self._closed = True
        self._send(None)

    def _send(self, text: str | None) -> None:
        with self._lock:
            for queue, loop in list(self._listeners.items()):
                try:
                    loop.call_soon_threadsafe(_put, queue, text)
                except RuntimeError:  # its loop has ended
                    del self._listeners[queue]

    def check_room(self) -> None:
        """Refuse one more window than can be served."""
        if len(self._listeners) >= WINDOWS:
            raise BusyError(f"{WINDOWS} windows of this desk are open.", "Close some.")

    async def stream(self, version: int) -> AsyncIterator[str]:
        """Yield what one window is told, until it or the server goes away."""
        queue: asyncio.Queue[str | None] = asyncio.Queue(WAITING)
        with self._lock:
            self._listeners[queue] = asyncio.get_running_loop()
        try:
            yield f"retry: 1000\nevent: hello\ndata: {json.dumps({'version': version})}\n\n"
            while not self._closed:
                try:
                    text = await asyncio.wait_for(queue.get(), SILENCE)
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                if text is None:
                    return
                yield text
        finally:
            with self._lock:
                self._listeners.pop(queue, None)


def _put(queue: asyncio.Queue[str | None], text: str | None) -> None:
    if queue.full():  # an end that is not told would be waited for, progress is told anew
        kept = [queue.get_nowait() for _ in range(queue.qsize())]
        del kept[next((n for n, one in enumerate(kept) if (one or "").startswith(_PROGRESS)), 0)]
        for one in kept:
            queue.put_nowait(one)
    queue.put_nowait(text)
