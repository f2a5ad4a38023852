"""What the bands of a comparison add up to."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES, Primaries
from primecoat.colour.primaries import (
    D65,
    PRIMARIES,
    bradford_matrix,
    rgb_to_rgb_matrix,
    rgb_to_xyz_matrix,
)
from primecoat.renders.canvas import Canvas, stacked
from primecoat.renders.exposure import stops_between
from primecoat.renders.figures import Channel, Figures, Side
from primecoat.renders.histogram import Counts, Histogram
from primecoat.renders.measure import Measured, luminance_row
from primecoat.renders.pairing import Pair

GAMUTS: Final[tuple[Primaries, ...]] = ("rec709", "p3d65", "rec2020", "ap1")

_NEGLIGIBLE = 1e-5
"""A negative channel this small beside the greatest comes from float32."""

_COLOURS = "RGB"


class _Channel:
    def __init__(self) -> None:
        self.absolute = Histogram()
        self.sums = [0.0, 0.0]

    def take(self, found: tuple[Counts, float, float]) -> None:
        counts, *sums = found
        self.absolute.take(counts)
        self.sums = [own + more for own, more in zip(self.sums, sums, strict=True)]

    def merge(self, other: _Channel) -> None:
        self.absolute.merge(other.absolute)
        self.sums = [own + more for own, more in zip(self.sums, other.sums, strict=True)]

    def figures(self, name: str, stops: float | None = None) -> Channel:
        count = max(1, self.absolute.count)
        return Channel(
            name=name,
            mean_a=self.sums[0] / count,
            mean_b=self.sums[1] / count,
            absolute=self.absolute.spread(),
            rms=self.absolute.rms,
            stops=stops,
        )


class Tally:
    """Adds up bands, then frames.

    Parameters
    ----------
    pair
        Frames, and how they are seen: of a sequence, the first.
    """

    def __init__(self, pair: Pair) -> None:
        self.pair = pair
        self.ciede2000 = Histogram()
        self._itp = Histogram() if pair.high_dynamic_range else None
        self._scene = [_Channel() for _ in _COLOURS] if pair.linear else []
        self._codes = [_Channel() for _ in _COLOURS]
        self._alpha: _Channel | None = None
        self._shares = np.zeros((2, 6), np.int64)
        self._pixels = self._all_pixels = self._differs = 0
        self._samples: list[NDArray[np.float32]] = []
        self._bands: list[Canvas] = []

    def take(self, band: Measured) -> None:
        """Add a band; in order from top to bottom if pictures are drawn."""
        for own, found in zip(self._scene, band.scene, strict=True):
            own.take(found)
        for own, found in zip(self._codes, band.codes, strict=True):
            own.take(found)
        if band.alpha:
            self._alpha = self._alpha or _Channel()
            self._alpha.take(band.alpha)
        self.ciede2000.take(band.ciede2000)
        if self._itp and band.itp:
            self._itp.take(band.itp)
        self._shares += band.shares
        self._pixels += band.pixels
        self._all_pixels += band.all_pixels
        self._differs += band.not_finite_differs
        self._samples.append(band.sample)
        if band.canvas:
            self._bands.append(band.canvas)

    def merge(self, other: Tally) -> None:
        """Add another frame of the sequence; of its sample, every fourth pixel."""
        for own, more in zip(self._scene, other._scene, strict=True):
            own.merge(more)
        for own, more in zip(self._codes, other._codes, strict=True):
            own.merge(more)
        if other._alpha:
            self._alpha = self._alpha or _Channel()
            self._alpha.merge(other._alpha)
        self.ciede2000.merge(other.ciede2000)
        if self._itp and other._itp:
            self._itp.merge(other._itp)
        self._shares += other._shares
        self._pixels += other._pixels
        self._all_pixels += other._all_pixels
        self._differs += other._differs
        self._samples.append(other.sample[::4])

    @property
    def sample(self) -> NDArray[np.float32]:
        """Light of A and B and a mark of those that can be told, shape (n, 7)."""
        return np.concatenate(self._samples) if self._samples else np.zeros((0, 7), np.float32)

    @property
    def canvas(self) -> Canvas:
        """What pictures are drawn from; only of a frame that was measured for pictures."""
        return stacked(self._bands)

    def figures(self) -> Figures:
        """Return all figures."""
        sample = self.sample
        told = sample[:, 6] > 0
        one, other = sample[told, :3], sample[told, 3:6]
        weights = luminance_row(self.pair.linear)
        stops: list[float | None] = [None] * 3
        if self.pair.linear:
            stops = [stops_between(one[:, at], other[:, at]).median for at in range(3)]
        return Figures(
            pixels=self._pixels,
            not_finite_differs=self._differs,
            exposure=stops_between(one @ weights, other @ weights),
            scene=tuple(
                c.figures(n, s) for c, n, s in zip(self._scene, _COLOURS, stops, strict=True)
            )
            if self._scene
            else (),
            codes=tuple(c.figures(n) for c, n in zip(self._codes, _COLOURS, strict=True)),
            alpha=self._alpha.figures("A") if self._alpha else None,
            ciede2000=self.ciede2000.spread(),
            delta_e_itp=self._itp.spread() if self._itp else None,
            a=self._side(0, sample[:, :3]),
            b=self._side(1, sample[:, 3:6]),
        )

    def _side(self, side: int, light: NDArray[np.float32]) -> Side:
        counts = self._shares[side].tolist()
        shares = [
            counts[0] / max(1, self._all_pixels),
            *(count / max(1, self._pixels) for count in counts[1:]),
        ]
        return Side(
            not_finite=shares[0],
            stored_at_limit=shares[1],
            negative=shares[2],
            at_white=shares[3],
            at_black=shares[4],
            outside_screen=shares[5],
            outside={name: _outside(light, self.pair.linear, name) for name in GAMUTS},
        )


def to_gamut(linear: str | None, primaries: Primaries) -> NDArray[np.float64]:
    """Return the matrix from the light of a sample to linear RGB of some primaries."""
    target = PRIMARIES[primaries]
    if linear is not None:
        return rgb_to_rgb_matrix(PRIMARIES[SPACES[linear].primaries], target)
    return np.linalg.inv(rgb_to_xyz_matrix(target)) @ bradford_matrix(D65, target.white)


def _outside(light: NDArray[np.float32], linear: str | None, primaries: Primaries) -> float:
    if not len(light):
        return 0.0
    matrix = to_gamut(linear, primaries)
    columns = light.T.astype(np.float64)  # channel by channel, which is many times faster
    red, green, blue = (
        row[0] * columns[0] + row[1] * columns[1] + row[2] * columns[2] for row in matrix
    )
    least = np.minimum(np.minimum(red, green), blue)
    most = np.maximum(np.maximum(np.abs(red), np.abs(green)), np.abs(blue))
    return float(np.mean(least < -_NEGLIGIBLE * most))
