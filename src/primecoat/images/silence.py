"""What libraries print to standard error by themselves, kept from the terminal."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Iterator


@contextlib.contextmanager
def silenced() -> Iterator[None]:
    """Keep codecs from writing to stderr; what they have to say is in the reader's error text.

    The stream is the whole process's: of several threads, the first puts it away and the last
    brings it back.
    """
    _silence.enter()
    try:
        yield
    finally:
        _silence.leave()


class _Silence:
    """How many blocks want stderr away, and where it is kept meanwhile."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._count = 0
        self._kept = -1

    def enter(self) -> None:
        with self._lock:
            self._count += 1
            if self._count > 1:
                return
            with contextlib.suppress(OSError):
                kept = os.dup(2)
                try:
                    nowhere = os.open(os.devnull, os.O_WRONLY)
                except OSError:
                    os.close(kept)
                    return
                os.dup2(nowhere, 2)
                os.close(nowhere)
                self._kept = kept

    def leave(self) -> None:
        with self._lock:
            self._count -= 1
            if self._count or self._kept < 0:
                return
            os.dup2(self._kept, 2)
            os.close(self._kept)
            self._kept = -1


_silence = _Silence()
