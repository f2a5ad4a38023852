"""Working spaces by name, known to the vocabulary and to the config in use."""

from __future__ import annotations

from primecoat.colour.ids import READINGS
from primecoat.colour.ocio import load_config, space_in_config
from primecoat.config.identify import identify
from primecoat.errors import UseError

DEFAULT_TO = "lin_ap1_scene"
"""Color Interop ID of the working space a scene moves to, if nothing else is said."""


def space_named(name: str, config: str) -> str:
    """Return the Color Interop ID of a working space: of the ID, another name, or the config's own.

    Raises
    ------
    UseError
        If the name means no colour space, or the config has no such space.
    """
    named = identify(load_config(config), name).reading
    if named is None or named == "data":
        spaces = ", ".join(r for r in READINGS if r.startswith("lin_"))
        raise UseError(f"There is no colour space {name!r}.", f"Use one of: {spaces}.")
    space_in_config(named, config)
    return named
