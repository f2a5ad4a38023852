"""Names of a package that are loaded when they are first asked for.

Whoever asks for the help of one verb, or for one verb, need not wait for all the others.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from importlib import import_module
from types import ModuleType
from typing import Any


def load_on_demand(package: str, homes: Mapping[str, str]) -> None:
    """Have a package load each of its names from the module that holds it, when it is asked for.

    A package calls it in its own ``__init__``. Where a module inside the package has one of the
    names, the name still means what its home holds; the module is imported by its full name.

    Parameters
    ----------
    package
        Name of the package.
    homes
        The full name of a module for each name of the package.
    """

    class OnDemand(ModuleType):
        def __getattr__(self, name: str) -> Any:
            if name not in homes:
                raise AttributeError(f"module {package!r} has no attribute {name!r}")
            found = getattr(import_module(homes[name]), name)
            self.__dict__[name] = found
            return found

        def __setattr__(self, name: str, value: object) -> None:
            if name in homes and isinstance(value, ModuleType):
                return  # Python puts each module that it loads into the package that holds it
            super().__setattr__(name, value)

        def __dir__(self) -> Iterable[str]:
            return {*super().__dir__(), *homes}

    sys.modules[package].__class__ = OnDemand
