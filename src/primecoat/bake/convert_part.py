"""Rows of one part, converted: colour by layer, everything else carried as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.bake.plate import Turned
from primecoat.bake.stored_numbers import Rows, Tally, as_values, stored, within_half
from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert, convert_rows
from primecoat.errors import ImageError
from primecoat.images.colour_layers import ColourLayer
from primecoat.images.part import Part

_NEUTRAL_TOLERANCE = 1e-6

_LOOKED_UP = ("uint8", "uint16", "float16", "float32")
"""Types that colour is converted from as it is stored; others are made float32 first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerBake:
    """One layer, the reading of its numbers, and where its colour goes.

    Parameters
    ----------
    layer
        Its channels in the source.
    reading
        Color Interop ID.
    to
        Channels of the result: three, or one for a layer that stays grey.
    """

    layer: ColourLayer
    reading: str
    to: tuple[int, ...]


@dataclass(slots=True)
class PartBake:
    """Converts the rows of one part.

    Parameters
    ----------
    part, new
        The part as it is read and as it becomes.
    layers
        The layers to convert.
    carried
        Channels that are kept: from channel, to channel.
    to_space, config
        Target reading and OpenColorIO config.
    multiplied, multiply
        Whether colour is multiplied by alpha in the source, and whether it shall stay so.
    kind
        NumPy type of the result: that of ``new``, or ``float32`` for values not yet rounded.
    turned
        The view that colour ready for a display is taken back through.
    tally
        Counts what is met.
    """

    part: Part
    new: Part
    layers: Sequence[LayerBake]
    carried: Sequence[tuple[int, int]]
    to_space: str
    config: str
    multiplied: bool
    multiply: bool
    kind: str
    turned: Turned | None = None
    tally: Tally = field(default_factory=Tally)

    def convert(self, groups: tuple[Rows, ...]) -> Rows:
        """Return converted rows.

        Parameters
        ----------
        groups
            One array for each of ``part.runs``, of its type.

        Returns
        -------
        numpy.ndarray
            Shape (rows, width, channels of ``new``), of the type ``kind``; 32-bit whole numbers
            beside other types are float32 of the same bits.
        """
        if len(self.layers) == 1 and self.layers[0].to == tuple(range(len(self.new.channels))):
            return stored(self._colour(groups, self.layers[0]), self.kind, self.tally)
        out = np.empty((*groups[0].shape[:2], len(self.new.channels)), self.kind)
        for baked in self.layers:
            colour = stored(self._colour(groups, baked), self.kind, self.tally)
            out[..., _places(baked.to)] = colour
        for at, to in self.carried:
            rows = self._taken(groups, (at,))[..., 0]
            if self.new.types[to] == "uint":
                out[..., to] = rows.view(self.kind)
            else:
                out[..., to] = stored(rows, self.kind, self.tally)
        return out

    def _colour(self, groups: tuple[Rows, ...], baked: LayerBake) -> NDArray[np.float32]:
        """Return a layer's colour, converted: shape (rows, width, 3), or 1 channel for grey."""
        rows = self._taken(groups, baked.layer.channels)
        if rows.dtype.name not in _LOOKED_UP:
            rows = as_values(rows)
        if rows.shape[-1] == 1:
            rows = np.repeat(rows, 3, axis=-1)
        wrong = self._wrong(rows)
        sound = rows if wrong is None else np.where(wrong, rows.dtype.type(0), rows)
        factor = self._factor(groups, baked)
        if factor is not None:
            sound = as_values(sound) / factor
        sound = np.ascontiguousarray(sound)
        if self.turned is not None and baked.reading == self.turned.reading:
            colour = self.turned.light(sound, self.tally)
        else:
            colour = convert_rows(sound, baked.reading, self.to_space, self.config)
        if self.new.types[baked.to[0]] == "uint8" and self.turned is None:
            self._count_changes(sound, colour, baked.reading)
        if factor is not None and self.multiply:
            colour *= factor
        if rows.dtype.kind == "f":
            half = self.new.types[baked.to[0]] == "half"
            within_half(colour, self.tally, clamp=half)
        if wrong is not None:
            colour[wrong] = rows[wrong]
        return colour[..., : len(baked.to)]

    def _factor(self, groups: tuple[Rows, ...], baked: LayerBake) -> NDArray[np.float32] | None:
        """Return what colour is divided by before it is converted, or None for nothing.

        A matrix alone gives the same with and without; colour under zero alpha is not divided.
        """
        linear = SPACES[baked.reading].linear and SPACES[self.to_space].linear
        if baked.layer.alpha is None or not self.multiplied or (linear and self.multiply):
            return None
        alpha = as_values(self._taken(groups, (baked.layer.alpha,)))
        factor = np.where(np.isfinite(alpha) & (alpha > 0), alpha, np.float32(1))
        return None if (factor == 1).all() else factor

    def _wrong(self, rows: Rows) -> NDArray[np.bool_] | None:
        """Return where values are not finite, or None where all are."""
        if rows.dtype.kind != "f":
            return None
        finite = np.isfinite(rows)
        if finite.all():
            return None
        self.tally.not_finite += finite.size - int(np.count_nonzero(finite))
        return ~finite

    def _count_changes(self, sound: Rows, colour: NDArray[np.float32], reading: str) -> None:
        """Count the colours that 8 bits in the new space do not bring back."""
        unheard = Tally()
        kept = stored(colour, "uint8", unheard)
        back = convert_rows(kept, self.to_space, reading, self.config)
        wanted = stored(sound, "uint8", unheard).astype(np.int16)
        off = np.abs(stored(back, "uint8", unheard) - wanted).max(axis=-1)
        self.tally.colours += off.size
        self.tally.changed += int(np.count_nonzero(off))
        self.tally.greatest = max(self.tally.greatest, int(off.max(initial=0)))

    def _taken(self, groups: tuple[Rows, ...], chosen: tuple[int, ...]) -> Rows:
        """Return some channels in their stored type; they must lie in one group."""
        for (first, end, _), rows in zip(self.part.runs, groups, strict=True):
            if all(first <= channel < end for channel in chosen):
                return rows[..., _places(tuple(channel - first for channel in chosen))]
        names = ", ".join(self.part.channels[channel] for channel in chosen)
        raise ImageError(
            f"The channels {names} are stored as numbers of different kinds.",
            "Export them as one kind of number, or use the tag route.",
        )


def keeps_neutrals(reading: str, to_space: str, config: str) -> bool:
    """Whether equal red, green and blue stay equal, so that one grey channel is enough.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> keeps_neutrals("srgb_rec709_scene", "lin_ap1_scene", DEFAULT_CONFIG)
    True
    >>> keeps_neutrals("srgb_rec709_scene", "lin_ciexyzd65_scene", DEFAULT_CONFIG)
    False
    """
    out = convert(np.array([[0.18] * 3, [1.0] * 3], np.float32), reading, to_space, config)
    return bool(np.ptp(out, axis=-1).max() <= _NEUTRAL_TOLERANCE)


def _places(chosen: tuple[int, ...]) -> Any:
    """Return an index for channels: a slice, which copies nothing, if they follow one another."""
    first = chosen[0]
    if chosen == tuple(range(first, first + len(chosen))):
        return slice(first, first + len(chosen))
    return list(chosen)
