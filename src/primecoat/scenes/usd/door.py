"""The door to usd-core: its modules, loaded when a USD file is met and not before.

``door.Usd``, ``door.Sdf`` and so on are the modules of ``pxr``; the first use of one imports it
(0.2 s), so that a survey of other scenes does not pay for it. The library ships no types.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from typing import Any

_MODULES = (
    *("Ar", "Gf", "Sdf", "Tf", "Usd", "UsdGeom", "UsdLux", "UsdShade", "UsdUtils"),
    "UsdValidation",
)


def __getattr__(name: str) -> Any:
    """Import a module of ``pxr`` when it is first asked for."""
    if name not in _MODULES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module = import_module(f"pxr.{name}")
    globals()[name] = module
    return module


def library_version() -> str:
    """Return the version of usd-core, as its packages are numbered."""
    _, year, patch = import_module("pxr.Usd").GetVersion()
    return f"{year}.{patch:02}"


@contextmanager
def quiet() -> Iterator[list[str]]:
    """Keep what the library would print on stderr; the list is filled when the block ends."""
    delegate = import_module("pxr.UsdUtils").CoalescingDiagnosticDelegate()
    said: list[str] = []
    try:
        yield said
    finally:
        said += [
            item.commentary
            for item in (
                *delegate.TakeUncoalescedDiagnostics(),
                *delegate.TakeCoalescedDiagnostics(),
            )
            if hasattr(item, "commentary")
        ]
