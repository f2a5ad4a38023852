"""Primecoat primes a 3D scene for wide-gamut rendering.

The way of the data: read scenes (``scenes``), measure images (``images``), take stock
(``inventory``), hear witnesses and decide (``reading``), check (``checks``), plan (``plan``), apply
with a journal (``apply``), report (``report``). ``workflow`` holds one function a verb; they are
the names of this module.
"""

from typing import TYPE_CHECKING

from primecoat.on_demand import load_on_demand
from primecoat.version import __version__

if TYPE_CHECKING:
    from primecoat.workflow import (
        apply,
        check_config,
        compare,
        corrections,
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

load_on_demand(__name__, {verb: "primecoat.workflow" for verb in __all__ if verb != "__version__"})
