"""Primecoat primes a 3D scene for wide-gamut rendering.

The way of the data: read scenes (``scenes``), measure images (``images``), take stock
(``inventory``), hear witnesses and decide (``reading``), check (``checks``), plan (``plan``), apply
with a journal (``apply``), report (``report``). ``workflow`` holds one function a verb; they are
the names of this module.

They are loaded when one is asked for: a worker process that decodes pictures needs none of them.
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

from primecoat.version import __version__

if TYPE_CHECKING:
    from primecoat.workflow import (
        apply,
        check_config,
        compare,
        decide,
        demo,
        gains,
        gate,
        handover,
        match,
        plan,
        read_card,
        read_config,
        recover,
        report,
        sheet,
        survey,
        swatch,
        undo,
        why,
        write_card,
        write_config,
    )
    from primecoat.workflow.corrections import corrections

__all__ = [
    "__version__",
    "apply",
    "check_config",
    "compare",
    "corrections",
    "decide",
    "demo",
    "gains",
    "gate",
    "handover",
    "match",
    "plan",
    "read_card",
    "read_config",
    "recover",
    "report",
    "sheet",
    "survey",
    "swatch",
    "undo",
    "why",
    "write_card",
    "write_config",
]


class _Verb:
    """A verb under this module's name: loaded when asked for, and no folder's name hides it."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __get__(self, module: object, _: object = None) -> Any:
        return getattr(import_module("primecoat.workflow"), self.name)

    def __set__(self, module: object, folder: object) -> None:
        """Leave unsaid that a folder of this name, such as ``plan``, was loaded."""


class _Module(ModuleType):
    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *__all__})


for _name in __all__:
    if _name != "__version__":
        setattr(_Module, _name, _Verb(_name))
sys.modules[__name__].__class__ = _Module
