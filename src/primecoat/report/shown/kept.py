"""What was decoded or made, kept within a bound of bytes; what is asked twice is made once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")

MOST_BYTES = 512 * 1024 * 1024
"""Bound of all that is kept."""


class Kept:
    """Results by key, the least lately used going first; safe between threads.

    Parameters
    ----------
    most
        Bound in bytes; a result larger than that is given out and not kept.

    Examples
    --------
    >>> kept = Kept(100)
    >>> [kept.get("a", lambda: b"x" * 60, len)[:1], kept.get("b", lambda: b"y" * 60, len)[:1]]
    [b'x', b'y']
    >>> kept.held, "a" in kept, "b" in kept
    (60, False, True)
    """

    def __init__(self, most: int = MOST_BYTES) -> None:
        self.most = most
        self.held = 0
        self._results: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
        self._making: dict[Hashable, threading.Lock] = {}
        self._lock = threading.Lock()

    def __contains__(self, key: Hashable) -> bool:
        with self._lock:
            return key in self._results

    def get(self, key: Hashable, make: Callable[[], T], size: Callable[[T], int]) -> T:
        """Return what is kept under a key, else make it; others that ask for it wait.

        Parameters
        ----------
        key
            All that the result depends on.
        make
            Makes it.
        size
            Says how many bytes it holds.
        """
        with self._lock:
            making = self._making.setdefault(key, threading.Lock())
        with making:
            with self._lock:
                if key in self._results:
                    self._results.move_to_end(key)
                    found: T = self._results[key][0]
                    return found
            try:
                result = make()
                self._keep(key, result, size(result))
            finally:
                with self._lock:
                    self._making.pop(key, None)
        return result

    def _keep(self, key: Hashable, result: object, size: int) -> None:
        if size > self.most:
            return
        with self._lock:
            while self._results and self.held + size > self.most:
                _, (_, gone) = self._results.popitem(last=False)
                self.held -= gone
            self._results[key] = result, size
            self.held += size


KEPT = Kept()
"""What the functions of this package keep."""
