"""What a path carries: the same light in Rec.709, in AP1 and in bands of the spectrum."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.primaries import (
    D65,
    PRIMARIES,
    bradford_matrix,
    rgb_to_rgb_matrix,
    rgb_to_xyz_matrix,
)
from primecoat.proof.paths.spectral_basis import FIRST, LAST, STEP, spectral_basis

Carried = NDArray[np.float32]
"""Shape (n, CHANNELS): Rec.709, AP1, then bands; 1 everywhere is a white, or white light."""

BASES: Final = ("rec709", "ap1", "spectral")
"""The working spaces that are compared: the old one, the new one, and what nature does."""

CHANNELS: Final = 3 + 3 + len(range(FIRST, LAST + STEP, STEP))

Real = TypeVar("Real", bound=np.floating)

_ROWS: Final = 2048
"""Rows of a product that no library shares among threads: some 2 to the 18th multiplications."""

_SLICES: Final = {"rec709": slice(0, 3), "ap1": slice(3, 6), "spectral": slice(6, CHANNELS)}


@dataclass(frozen=True, slots=True)
class _Matrices:
    carry: NDArray[np.float32]  # (3, CHANNELS), from linear Rec.709
    to_xyz: dict[str, NDArray[np.float64]]  # (channels of the basis, 3)


@lru_cache(maxsize=1)
def _matrices() -> _Matrices:
    basis = spectral_basis()
    rec709, ap1 = PRIMARIES["rec709"], PRIMARIES["ap1"]
    to_ap1 = rgb_to_rgb_matrix(rec709, ap1)
    carry = np.concatenate([np.eye(3), to_ap1.T, basis.reflectance.T], axis=1)
    adapted = bradford_matrix(ap1.white, D65) @ rgb_to_xyz_matrix(ap1)
    return _Matrices(
        carry=carry.astype(np.float32),
        to_xyz={
            "rec709": rgb_to_xyz_matrix(rec709).T,
            "ap1": adapted.T,
            "spectral": (basis.to_xyz * basis.daylight).T,
        },
    )


def by_rows(rows: NDArray[Real], matrix: NDArray[Real]) -> NDArray[Real]:
    """Return ``rows @ matrix`` on one core.

    Long products wake the threads of the linear algebra library, which wait in a busy loop for
    the next one: with a process for each core that costs more than it saves.

    Parameters
    ----------
    rows
        Shape (n, k), of the type of ``matrix``, shape (k, m).
    """
    found = np.empty((len(rows), matrix.shape[1]), matrix.dtype)
    for first in range(0, len(rows), _ROWS):
        part = slice(first, first + _ROWS)
        np.matmul(rows[part], matrix, out=found[part])
    return found


def carried(rec709: NDArray[np.floating]) -> Carried:
    """Return reflectances or light as a path carries them.

    Light and reflectance alike are relative to white: the spectrum of white light is D65 (a lamp
    of another colour is D65 through the smoothest filter that gives its colour).

    Parameters
    ----------
    rec709
        Linear Rec.709, shape (n, 3). Below 0 a spectrum is cut off at 0: no filter gives a colour
        outside Rec.709 this way.

    Examples
    --------
    >>> float(carried(np.array([[1.0, 1.0, 1.0]])).min().round(5))
    1.0
    """
    found = by_rows(np.asarray(rec709, np.float32), _matrices().carry)
    bands = found[..., _SLICES["spectral"]]
    np.maximum(bands, 0.0, out=bands)
    return found


def seen(light: Carried, basis: str) -> NDArray[np.float64]:
    """Return X, Y, Z under the white of D65 of light as one basis carried it.

    Parameters
    ----------
    light
        Shape (..., CHANNELS).
    basis
        One of ``BASES``; from AP1 by Bradford.

    Returns
    -------
    numpy.ndarray
        Shape (..., 3); Y of white light is 1.
    """
    held = light[..., _SLICES[basis]]
    flat = held.reshape(-1, held.shape[-1]).astype(np.float64)
    return by_rows(flat, _matrices().to_xyz[basis]).reshape(*held.shape[:-1], 3)


def numbers_of(xyz: NDArray[np.floating], basis: str) -> NDArray[np.float32]:
    """Return X, Y, Z under D65 as numbers of ``rec709`` or ``ap1``: linear, shape (..., 3)."""
    return np.asarray(xyz @ np.linalg.inv(_matrices().to_xyz[basis]), np.float32)
