"""Decode in worker processes, so that a decoder that a picture brings down takes no desk with it.

Off by default: one picture asked for in Python is decoded where it is asked. What was decoded is
kept by whoever asked, so a picture that is dragged is not decoded again.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from primecoat import jobs
from primecoat.errors import ImageError

P = ParamSpec("P")
T = TypeVar("T")

_workers: jobs.WarmWorkers | None = None


def decode_apart(*, apart: bool) -> None:
    """Decode in worker processes from now on, which are started at once; or no more."""
    global _workers
    if _workers is not None:
        _workers.close()
    _workers = jobs.WarmWorkers(jobs.cores()) if apart else None
    if _workers is not None:
        _workers.warm(_make_ready)


def _make_ready() -> None:
    """Load in a worker what the first picture would wait for."""
    importlib.import_module("primecoat.report.shown.picture")


def in_worker(name: str, function: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> T:
    """Do what decodes a picture, in a worker if that is asked for, else here.

    Parameters
    ----------
    name
        Of the picture, for the message.

    Raises
    ------
    ImageError
        If the worker ended over it.
    """
    workers = _workers
    if workers is None:
        return function(*args, **kwargs)
    try:
        return workers.run(function, *args, **kwargs)
    except jobs.WorkerDiedError as error:
        raise ImageError(
            f"Cannot read the picture {name}: {error}.", "Export it again; the desk goes on."
        ) from error
