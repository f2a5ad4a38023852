"""The versions that every document names."""

from __future__ import annotations

from typing import Any

import numpy as np

from primecoat.colour import ocio
from primecoat.images import oiio
from primecoat.version import __version__


def versions() -> dict[str, Any]:
    """Return the versions that every document names."""
    return {
        "primecoat": __version__,
        "libraries": {
            "OpenColorIO": ocio.library_version(),
            "OpenImageIO": oiio.library_version(),
            "NumPy": np.__version__,
        },
    }
