"""Configs by name: built-in, from a file, or the pinned default."""

from __future__ import annotations

import os

import PyOpenColorIO as ocio

from primecoat.colour.defaults import DEFAULT_CONFIG
from primecoat.colour.ocio.kept import builtin_names, kept_by_config
from primecoat.errors import InputError


def library_version() -> str:
    """Return the version of OpenColorIO."""
    return str(ocio.GetVersion())


def config_name(asked: str | None = None) -> str:
    """Return the config to use: the one asked for, else ``$OCIO``, else the pinned default.

    Parameters
    ----------
    asked
        Name of a built-in config, or path of a config file.
    """
    return asked or os.environ.get("OCIO") or DEFAULT_CONFIG


def is_built_in(name: str) -> bool:
    """Whether a name is the full name of one of OpenColorIO's own configs.

    Examples
    --------
    >>> is_built_in(DEFAULT_CONFIG), is_built_in(f"ocio://{DEFAULT_CONFIG}"), is_built_in("my.ocio")
    (True, True, False)
    """
    return name.removeprefix("ocio://") in builtin_names()


@kept_by_config("name", most=8)
def load_config(name: str) -> ocio.Config:
    """Load a config by built-in name or by path; a file that was changed is loaded anew.

    Raises
    ------
    InputError
        If there is no such config or OpenColorIO rejects it.
    """
    builtin = name.removeprefix("ocio://")
    known = builtin_names()
    try:
        if builtin in known or name.startswith("ocio://"):
            return ocio.Config.CreateFromBuiltinConfig(builtin)
        return ocio.Config.CreateFromFile(name)
    except (ocio.Exception, ocio.ExceptionMissingFile) as error:
        raise InputError(
            f"Cannot load the OpenColorIO config {name}: {str(error).splitlines()[0]}",
            f"Give a config file or one of: {', '.join(known)}.",
        ) from error
