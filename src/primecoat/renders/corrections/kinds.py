"""What a linear correction is: exposure, white balance of some primaries or of cones, or a mix."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import has_space
from primecoat.colour.primaries import (
    BRADFORD,
    D65,
    Triple,
    bradford_matrix,
    primaries_of,
    rgb_to_xyz_matrix,
)
from primecoat.colour.products import change_matrix
from primecoat.renders.corrections.model import Floats
from primecoat.renders.corrections.probe import TOLERANCE, mixing

Kind = Literal[
    "nothing",
    "exposure",
    "white balance",
    "white adaptation",
    "saturation",
    "change of primaries",
    "mix of channels",
    "unphysical",
]

CONES: Final[dict[str, Floats]] = {
    "Bradford": BRADFORD,
    # CIE 159:2004, CIECAM02
    "CAT02": np.array(
        [[0.7328, 0.4296, -0.1624], [-0.7036, 1.6975, 0.0061], [0.0030, 0.0136, 0.9834]]
    ),
    # CIE 248:2022, CIECAM16
    "CAT16": np.array(
        [
            [0.401288, 0.650173, -0.051461],
            [-0.250268, 1.204414, 0.045854],
            [-0.002079, 0.048952, 0.953127],
        ]
    ),
    # Hunt and Pointer 1985, after Estevez; normalised to D65
    "von Kries": np.array(
        [
            [0.4002400, 0.7076000, -0.0808100],
            [-0.2263000, 1.1653200, 0.0457000],
            [0.0, 0.0, 0.9182200],
        ]
    ),
    "XYZ": np.eye(3),
}
"""XYZ to the responses in which chromatic adaptations of white multiply, by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What a 3 by 3 matrix on linear RGB is.

    Parameters
    ----------
    kind
        What it is; the first four may stay.
    factors
        The three positive numbers that it multiplies by; of the space ``among`` for gains.
    among
        ID or name of the space whose channels it multiplies in light, or name of the cone
        responses; the two spaces of a change of primaries; empty for all else.
    """

    kind: Kind
    factors: Triple | None = None
    among: str = ""

    @property
    def stays(self) -> bool:
        """Whether it does to a scene what a lamp turned up or a filter on a lamp does."""
        return self.kind in ("nothing", "exposure", "white balance", "white adaptation")


def gain_of(
    matrix: Floats, space: str, config: str, *, own: str = "", channels: Floats | None = None
) -> Gain:
    """Return what a matrix is.

    Parameters
    ----------
    matrix
        Shape (3, 3), on linear RGB of ``space``, for column vectors.
    space
        Color Interop ID of a linear space.
    config
        OpenColorIO config that converts.
    own, channels
        Name of a space that is not in the vocabulary, and its primaries as columns of linear RGB
        of ``space``.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> gain_of(np.diag([2.0, 2.0, 2.0]), "lin_rec709_scene", DEFAULT_CONFIG).kind
    'exposure'
    >>> desaturating = 0.5 * np.eye(3) + 0.5 * np.array([[0.2126, 0.7152, 0.0722]] * 3)
    >>> gain_of(desaturating, "lin_rec709_scene", DEFAULT_CONFIG).kind
    'saturation'
    """
    if not np.isfinite(matrix).all() or np.linalg.cond(matrix) > 1e4:
        return Gain(kind="unphysical")
    bases = _bases(space, config)
    if channels is not None:
        bases.append((own, np.linalg.inv(channels).astype(np.float64)))
    for among, into in bases:
        multiplies = into @ matrix @ np.linalg.inv(into)
        factors = np.diagonal(multiplies)
        if mixing(multiplies) > TOLERANCE:
            continue
        if (factors <= 0).any():
            return Gain(kind="unphysical")
        red, green, blue = factors.tolist()
        kind: Kind = "white adaptation" if among in CONES else "white balance"
        if np.ptp(factors) <= TOLERANCE * factors.max():
            kind = "nothing" if abs(factors.mean() - 1.0) <= TOLERANCE else "exposure"
        return Gain(kind=kind, factors=(red, green, blue), among=among)
    changed = _change_of_primaries(matrix, space, config)
    if changed is not None:
        return Gain(kind="change of primaries", among=changed)
    return Gain(kind="saturation" if _saturates(matrix) else "mix of channels")


def _saturates(matrix: Floats) -> bool:
    """Whether a matrix keeps greys and gives every channel the same shares of the others."""
    scale = np.abs(matrix).max()
    greys = matrix.sum(axis=1)
    shares = [np.delete(column, at) for at, column in enumerate(matrix.T)]
    uneven = max(np.ptp(greys), *(np.ptp(share) for share in shares))
    return bool(uneven <= TOLERANCE * scale)


def _change_of_primaries(matrix: Floats, space: str, config: str) -> str | None:
    """Return in words between which linear spaces a matrix converts; None if between none."""
    linear = [s.id for s in SPACES.values() if s.linear and has_space(s.id, config)]
    ends = {name: change_matrix(space, name, config) for name in linear}
    for target, into in ends.items():
        for source, out_of in ends.items():
            if source == target:
                continue
            off = np.abs(into @ np.linalg.inv(out_of) - matrix).max()
            if off <= TOLERANCE * np.abs(matrix).max():
                return f"{source} to {target}"
    return None


def _bases(space: str, config: str) -> list[tuple[str, Floats]]:
    """Return where a gain may multiply: matrices from linear RGB, the likeliest first."""
    found: list[tuple[str, Floats]] = [(space, np.eye(3))]
    found += [
        (other.id, change_matrix(space, other.id, config))
        for other in SPACES.values()
        if other.linear and other.id not in (space, "lin_ciexyzd65_scene")
        if other.referred == "scene" and has_space(other.id, config)
    ]
    primaries = primaries_of(space)
    bare = rgb_to_xyz_matrix(primaries)
    adapted = bradford_matrix(primaries.white, D65) @ bare
    for name, cones in CONES.items():
        found += [(name, cones @ bare), (name, cones @ adapted)]
    return found
