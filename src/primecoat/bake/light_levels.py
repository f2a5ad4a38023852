"""Smaller levels of a baked part: filtered in linear light, stored as the whole picture is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from primecoat.bake.convert_part import LayerBake, PartBake
from primecoat.bake.layout import Layout
from primecoat.bake.mips import Pyramid
from primecoat.bake.stored_numbers import Rows, Tally, stored, within_half
from primecoat.colour.ids import SPACES
from primecoat.images.colour_layers import ColourLayer


class LightLevels:
    """Takes the rows of a part as they are converted, and gives its smaller levels.

    A mean of encoded numbers is darker than the light it stands for, so numbers in a space with a
    curve are decoded, filtered and encoded again.

    Parameters
    ----------
    layout
        The part.
    to_space, config
        What its colour is in.
    multiply
        Whether colour is multiplied by alpha.
    scratch
        Folder for scratch files.
    """

    def __init__(
        self, layout: Layout, to_space: str, config: str, *, multiply: bool, scratch: Path
    ) -> None:
        self._new = layout.new
        self._kind = layout.new.array_type
        linear = linear_twin(to_space)
        self._decode = self._encode = None
        if layout.layers and linear != to_space:
            self._decode = _turned(layout, to_space, linear, config, multiply)
            self._encode = _turned(layout, linear, to_space, config, multiply)
        self._pyramid = Pyramid(scratch, layout.new.level_sizes, len(layout.new.channels))

    def put(self, rows: Rows) -> None:
        """Take the next rows of the whole picture, float32, not yet rounded."""
        self._pyramid.put(self._decode.convert((rows,)) if self._decode else rows)

    def level(self, number: int) -> Iterator[Rows]:
        """Yield a smaller level's rows in the type they are stored as."""
        unheard = Tally()
        for band in self._pyramid.level(number):
            rows = self._encode.convert((band,)) if self._encode else band
            if "half" in self._new.types:
                within_half(rows, unheard, clamp=self._kind == "float16")
            yield stored(rows, self._kind, unheard)


def linear_twin(space: str) -> str:
    """Return the linear space of the same primaries.

    Examples
    --------
    >>> linear_twin("srgb_ap1_scene"), linear_twin("lin_rec709_scene")
    ('lin_ap1_scene', 'lin_rec709_scene')
    """
    return f"lin_{SPACES[space].primaries}_scene"


def _turned(layout: Layout, reading: str, to_space: str, config: str, multiply: bool) -> PartBake:
    """Return the conversion of a part's result from one space to another, in float."""
    new = layout.new
    flat = replace(new, types=("float",) * len(new.channels))
    place_of = dict(layout.carried)
    layers = tuple(
        LayerBake(
            layer=ColourLayer(
                name=baked.layer.name,
                channels=baked.to,
                alpha=None if baked.layer.alpha is None else place_of.get(baked.layer.alpha),
            ),
            reading=reading,
            to=baked.to,
        )
        for baked in layout.layers
    )
    return PartBake(
        part=flat,
        new=flat,
        layers=layers,
        carried=tuple((to, to) for _, to in layout.carried),
        to_space=to_space,
        config=config,
        multiplied=multiply,
        multiply=multiply,
        kind="float32",
    )
