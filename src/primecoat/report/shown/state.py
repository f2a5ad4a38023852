"""What a picture depends on beside its file: the config, and the state of its file."""

from __future__ import annotations

from primecoat.colour.ocio.kept import Stamp, stamp
from primecoat.report.shown.wanted import Wanted


def config_state(wanted: Wanted) -> tuple[str, Stamp]:
    """Return what changes when another config is asked for, or its file changes."""
    return wanted.viewing.config, stamp(wanted.viewing.config)
