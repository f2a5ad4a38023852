"""Connected regions of a mask."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def regions(mask: NDArray[np.bool_], least: int) -> list[NDArray[np.int64]]:
    """Return the regions of set pixels that touch side by side, largest first.

    Parameters
    ----------
    mask
        Shape (height, width).
    least
        Regions with fewer pixels are left out.

    Returns
    -------
    list of numpy.ndarray
        For each region its rows and columns, shape (n, 2).

    Examples
    --------
    >>> mask = np.array([[1, 1, 0], [0, 0, 0], [0, 1, 1]], bool)
    >>> [len(region) for region in regions(mask, 1)]
    [2, 2]
    """
    edges = np.diff(np.pad(mask, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(edges == 1)
    _, ends = np.nonzero(edges == -1)  # in the same order: one end for each start
    parent = np.arange(len(rows))

    def root(one: int) -> int:
        while parent[one] != one:
            parent[one] = parent[parent[one]]
            one = int(parent[one])
        return one

    first = np.searchsorted(rows, np.arange(mask.shape[0] + 1))
    for row in range(1, mask.shape[0]):
        above, after = int(first[row - 1]), int(first[row])
        here, beyond = after, int(first[row + 1])
        while above < after and here < beyond:
            if starts[above] < ends[here] and starts[here] < ends[above]:
                parent[root(here)] = root(above)
            if ends[above] < ends[here]:
                above += 1
            else:
                here += 1
    roots = np.array([root(one) for one in range(len(rows))], int)
    sizes = np.bincount(roots, weights=ends - starts, minlength=len(rows))
    found = []
    for label in np.argsort(-sizes, kind="stable"):
        if sizes[label] < least:
            break
        runs = np.nonzero(roots == label)[0]
        lengths = (ends - starts)[runs]
        at_rows = np.repeat(rows[runs], lengths)
        offset = np.arange(lengths.sum()) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        found.append(np.stack((at_rows, np.repeat(starts[runs], lengths) + offset), axis=1))
    return found
