"""Look once a second whether the scene, the decisions or the journal changed behind the desk."""

from __future__ import annotations

import threading
from types import TracebackType
from typing import Self

from primecoat.desk.session import Session

EVERY = 1.0
"""Seconds between two looks."""


class Watch:
    """A thread that looks while the block runs."""

    def __init__(self, session: Session, *, every: float = EVERY) -> None:
        self._session = session
        self._every = every
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._look, name="watch", daemon=True)

    def __enter__(self) -> Self:
        """Begin to look."""
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Look no more."""
        self._ended.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._ended.wait(self._every):
            self._session.look_outside()
