"""Working spaces by name, known to the vocabulary and to the config in use."""

from __future__ import annotations

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import load_config, space_in_config
from primecoat.config.identify import identify
from primecoat.errors import UseError

_LINEAR = ", ".join(name for name, space in SPACES.items() if space.linear)


def space_named(name: str, config: str) -> str:
    """Return the Color Interop ID of a colour space: of the ID, another name, or the config's own.

    Raises
    ------
    UseError
        If the name means no colour space, or the config has no such space.
    """
    named = identify(load_config(config), name).reading
    if named not in SPACES:
        raise UseError(f"There is no colour space {name!r}.", f"Use one of: {_LINEAR}.")
    space_in_config(named, config)
    return named


def working_space_named(name: str, config: str) -> str:
    """Return the Color Interop ID of a space that scenes are made in, as :func:`space_named` does.

    Raises
    ------
    UseError
        Also if its numbers are encoded.
    """
    named = space_named(name, config)
    if not SPACES[named].linear:
        raise UseError(
            f"{name} ({named}) is no working space: its numbers are not linear, and renderers add "
            "and multiply light.",
            f"Use one of: {_LINEAR}.",
        )
    return named
