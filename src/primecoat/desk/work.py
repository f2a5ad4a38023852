"""What takes long: in one thread, one work at a time, told by events, stopped where it can be."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeVar

from primecoat.desk.errors import BusyError, StoppedError, error_content, fault_content
from primecoat.desk.events import Events
from primecoat.errors import PrimecoatError
from primecoat.jobs import Progress

Result = TypeVar("Result")

TOLD_EVERY = 0.1
"""Seconds between two tellings of progress."""


class Teller:
    """Told how far a work is; tells the windows, and stops the work if a person says so."""

    def __init__(self, job: str, words: str, events: Events, stop: threading.Event) -> None:
        self._job = job
        self._words = words
        self._events = events
        self._stop = stop
        self._began = time.monotonic()
        self._told = 0.0

    def called(self, words: str) -> Progress:
        """Return what is told of the next stretch of the work."""
        return Teller(self._job, words, self._events, self._stop)

    def __call__(self, done: int, total: int, done_bytes: int, total_bytes: int, /) -> None:
        """Take how far it is.

        Raises
        ------
        StoppedError
            If a person stopped the work and some of it is left.
        """
        now = time.monotonic()
        if now - self._told >= TOLD_EVERY or done == total:
            self._told = now
            self._events.tell("progress", **self._now(done, total, done_bytes, total_bytes, now))
        if self._stop.is_set() and done < total:
            raise StoppedError("The work was stopped.", "Begin it again when you like.")

    def _now(
        self, done: int, total: int, done_bytes: int, total_bytes: int, now: float
    ) -> dict[str, Any]:
        seconds = max(now - self._began, 1e-6)
        share = done_bytes / total_bytes if total_bytes else done / total if total else 1.0
        return {
            "job": self._job,
            "done": done,
            "of": total,
            "rate": round(done / seconds, 2),
            "left": round(seconds * (1 - share) / share, 1) if share else None,
            "words": self._words,
        }


class Work:
    """The one thread in which long work runs."""

    def __init__(self, events: Events) -> None:
        self._events = events
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._job = ""
        self._thread: threading.Thread | None = None

    @property
    def job(self) -> str:
        """What is under way; empty if nothing is."""
        return self._job

    def run(self, job: str, function: Callable[[Teller], Result]) -> Result:
        """Do one work and return what it gives; the windows are told how far it is.

        Raises
        ------
        BusyError
            If other work is under way.
        """
        future: Future[Result] = Future()
        with self._lock:
            if self._job:
                raise BusyError(
                    f"Other work is under way: {self._job}.", "Wait for its end, or stop it."
                )
            self._job = job
            self._stop.clear()
            thread = threading.Thread(target=self._do, args=(job, function, future), name=job)
            self._thread = thread
            thread.start()
        return future.result()

    def stop(self, job: str = "") -> str:
        """Ask the work under way to stop where it can; return which it is, empty if none.

        Parameters
        ----------
        job
            The only work that is meant; empty for any.
        """
        with self._lock:
            if self._job and job in ("", self._job):
                self._stop.set()
            return self._job

    def close(self) -> bool:
        """Stop the work and wait for its thread; return whether any was under way."""
        job = self.stop()
        if self._thread is not None:
            self._thread.join()
        return bool(job)

    def _do(self, job: str, function: Callable[[Teller], Result], future: Future[Result]) -> None:
        self._events.tell("began", job=job)
        try:
            result = function(Teller(job, job, self._events, self._stop))
        except PrimecoatError as error:
            self._end("failed", job, error=error_content(error))
            future.set_exception(error)
        except BaseException as error:  # noqa: BLE001 the request that waits tells of it
            self._end("failed", job, error=fault_content())
            future.set_exception(error)
        else:
            self._end("done", job)
            future.set_result(result)

    def _end(self, event: str, job: str, **facts: Any) -> None:
        with self._lock:
            self._job = ""
        self._events.tell(event, job=job, **facts)
