"""What pictures of shared-exponent light (RGBE) cannot hold."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import ImageError


def refuse_unheld(path: Path, array: NDArray[Any]) -> None:
    """Refuse what shared-exponent light cannot hold: the writer turns -0.1 into bright light."""
    if path.suffix.lower() not in (".hdr", ".rgbe") or array.dtype.kind != "f":
        return
    if not (np.isfinite(array) & (array >= 0)).all():
        raise ImageError(
            f"Cannot write the picture {path}: RGBE holds no values below zero, infinite or NaN.",
            "Write OpenEXR, which holds them.",
        )
