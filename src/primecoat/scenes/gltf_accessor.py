"""Values of a glTF accessor (glTF 2.0 section 3.6.2): bytes in, rows of numbers out."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

_COMPONENTS = {5121: "<u1", 5123: "<u2", 5126: "<f4"}
"""Component types that a vertex colour may have: unsigned byte, unsigned short, float."""

_WIDTHS = {"VEC3": 3, "VEC4": 4}


def colour_rows(
    accessor: dict[str, Any], view: dict[str, Any], buffer: bytes
) -> NDArray[np.float64] | None:
    """Return the colours of a ``COLOR_n`` accessor.

    Parameters
    ----------
    accessor, view
        The accessor and its buffer view, as they stand in the JSON.
    buffer
        The bytes of the view's buffer.

    Returns
    -------
    numpy.ndarray or None
        Shape (count, 3); unsigned integers are divided by their greatest value; alpha is left out.
        None where the accessor is no vertex colour or reaches beyond the buffer.
    """
    component = _COMPONENTS.get(accessor.get("componentType", 0))
    width = _WIDTHS.get(str(accessor.get("type")))
    count = accessor.get("count")
    if component is None or width is None or not isinstance(count, int) or count < 1:
        return None
    kind = np.dtype(component)
    packed = kind.itemsize * width
    stride = view.get("byteStride", packed)
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    if not (isinstance(stride, int) and isinstance(start, int)) or stride < packed or start < 0:
        return None
    if start + stride * (count - 1) + packed > len(buffer):
        return None
    rows = np.ndarray((count, width), kind, buffer, start, (stride, kind.itemsize))
    values = rows[:, :3].astype(np.float64)
    return values / np.iinfo(kind).max if kind.kind == "u" else values
