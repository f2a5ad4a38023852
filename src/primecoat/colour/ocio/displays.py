"""Displays of a config, found by what their views end in."""

from __future__ import annotations

from primecoat.colour.defaults import DEFAULT_CONFIG
from primecoat.colour.ocio.configs import load_config
from primecoat.colour.ocio.views import display_reading
from primecoat.errors import UseError


def default_view(display: str, config: str = DEFAULT_CONFIG) -> str:
    """Return the view that a config names as the default of a display.

    Examples
    --------
    >>> default_view("Rec.2100-PQ - Display")
    'ACES 2.0 - HDR 1000 nits (P3 D65)'
    """
    return str(load_config(config).getDefaultView(display))


def display_of(reading: str, config: str = DEFAULT_CONFIG) -> str:
    """Return the first display of a config whose default view ends in a display space.

    Parameters
    ----------
    reading
        Color Interop ID of a display space.

    Raises
    ------
    UseError
        If the config has no such display.

    Examples
    --------
    >>> display_of("pq_rec2020_display")
    'Rec.2100-PQ - Display'
    """
    for display in load_config(config).getDisplays():
        try:
            if display_reading(display, default_view(display, config), config) == reading:
                return str(display)
        except UseError:
            continue
    raise UseError(
        f"The config {config} has no display whose default view ends in {reading}.",
        "Name one with --display, or another config with --config.",
    )
