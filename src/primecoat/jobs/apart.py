"""Whether every picture is decoded in a process of its own, whatever the amount of work."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

APART = "PRIMECOAT_APART"
"""Environment variable that, set to 1, has every picture decoded in a worker process.

A decoder that a hostile picture brings down then takes a worker with it and never this process,
whatever the amount of work; it costs the start of the workers.
"""


@contextmanager
def pictures_apart() -> Iterator[None]:
    """Have every picture decoded in a worker process while the block runs, unless told not to.

    Examples
    --------
    >>> from primecoat.jobs import Workplace
    >>> with pictures_apart():
    ...     Workplace().engine(0)
    LocalEngine(workers=1, apart=True)
    """
    told = APART in os.environ
    os.environ.setdefault(APART, "1")
    try:
        yield
    finally:
        if not told:
            os.environ.pop(APART, None)
