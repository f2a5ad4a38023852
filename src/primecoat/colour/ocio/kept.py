"""Results kept for a config, until its file changes on disk."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import lru_cache, wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

import PyOpenColorIO as ocio

P = ParamSpec("P")
R = TypeVar("R")

Stamp = tuple[int, int, int] | None
"""Time of the last change in ns, size and inode of a config file; None for a built-in config."""


@lru_cache(maxsize=1)
def builtin_names() -> tuple[str, ...]:
    """Return the names of the configs built into the library."""
    return tuple(str(entry[0]) for entry in ocio.BuiltinConfigRegistry().getBuiltinConfigs())


def stamp(name: str) -> Stamp:
    """Return what tells a config file's present state from others; None if it is no file.

    Examples
    --------
    >>> stamp("studio-config-v4.0.0_aces-v2.0_ocio-v2.5") is None
    True
    """
    if name.startswith("ocio://") or name in builtin_names():
        return None
    try:
        found = Path(name).stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


_last: dict[str, Stamp] = {}


def kept_by_config(
    argument: str = "config", *, most: int
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator that keeps results by arguments and by the state of the config's file.

    Parameters
    ----------
    argument
        Name of the argument that is the config, a built-in name or path.
    most
        How many results are kept.
    """

    def decorate(work: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(work)

        @lru_cache(maxsize=most)
        def keep(state: Stamp, arguments: tuple[object, ...]) -> R:
            return work(*arguments)  # type: ignore[call-arg, arg-type]

        @wraps(work)
        def ask(*args: P.args, **kwargs: P.kwargs) -> R:
            bound = signature.bind(*args, **kwargs)
            bound.apply_defaults()
            name = str(bound.arguments[argument])
            state = stamp(name)
            if _last.setdefault(name, state) != state:
                ocio.ClearAllCaches()  # the library keeps LUT files by path
                _last[name] = state
            return keep(state, bound.args)

        return ask

    return decorate
