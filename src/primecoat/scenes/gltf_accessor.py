"""Values of a glTF accessor (glTF 2.0 section 3.6.2): bytes in, rows of numbers out."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

_COMPONENTS = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
"""Component types; 5120 and 5122 are signed."""

_WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}

_COLOUR_COMPONENTS = (5121, 5123, 5126)
"""What a vertex colour may be made of: unsigned byte, unsigned short, float."""


def accessor_rows(
    accessor: dict[str, Any], view: dict[str, Any], buffer: bytes
) -> NDArray[Any] | None:
    """Return the numbers of an accessor as they are stored.

    Parameters
    ----------
    accessor, view
        The accessor and its buffer view, as they stand in the JSON.
    buffer
        The bytes of the view's buffer.

    Returns
    -------
    numpy.ndarray or None
        Shape (count, width of its type). None where the accessor has no such type or reaches
        beyond the buffer.
    """
    code = accessor.get("componentType")
    component = _COMPONENTS.get(code) if isinstance(code, int) else None
    width = _WIDTHS.get(str(accessor.get("type")))
    count = accessor.get("count")
    if component is None or width is None or not isinstance(count, int) or count < 1:
        return None
    kind = np.dtype(component)
    packed = kind.itemsize * width
    stride = view.get("byteStride", packed)
    offsets = view.get("byteOffset", 0), accessor.get("byteOffset", 0)
    if not all(isinstance(number, int) for number in (stride, *offsets)):
        return None
    start = sum(offsets)
    if stride < packed or start < 0:
        return None
    if start + stride * (count - 1) + packed > len(buffer):
        return None
    return np.ndarray((count, width), kind, buffer, start, (stride, kind.itemsize))


def as_fractions(rows: NDArray[Any]) -> NDArray[np.float64]:
    """Return whole numbers divided by their type's greatest value; floats as they are.

    Examples
    --------
    >>> as_fractions(np.array([[255, 51]], np.uint8)).tolist()
    [[1.0, 0.2]]
    """
    values = rows.astype(np.float64)
    if rows.dtype.kind == "f":
        return values
    return np.maximum(values / np.iinfo(rows.dtype).max, -1.0)


def colour_rows(
    accessor: dict[str, Any], view: dict[str, Any], buffer: bytes
) -> NDArray[np.float64] | None:
    """Return the colours of a ``COLOR_n`` accessor.

    Parameters are those of :func:`accessor_rows`.

    Returns
    -------
    numpy.ndarray or None
        Shape (count, 3); unsigned integers are divided by their greatest value; alpha is left out.
        None where the accessor is no vertex colour or reaches beyond the buffer.
    """
    if accessor.get("componentType") not in _COLOUR_COMPONENTS:
        return None
    if accessor.get("type") not in ("VEC3", "VEC4"):
        return None
    rows = accessor_rows(accessor, view, buffer)
    return None if rows is None else as_fractions(rows[:, :3])
