"""Which channels of a picture belong together, by their names."""

from __future__ import annotations

from collections.abc import Sequence

_TRIPLES = (("r", "g", "b"), ("red", "green", "blue"), ("x", "y", "z"))
_ALPHA = ("a", "alpha")


def colour_channels(names: Sequence[str]) -> tuple[int, ...]:
    """Return the indices of the channels that may hold colour or a vector.

    Order in the file does not matter; the layer without a name, then the first one, is taken.

    Returns
    -------
    tuple of int
        Three indices (red, green, blue, or x, y, z), else one (the first channel that is not
        alpha), else none.

    Examples
    --------
    >>> colour_channels(("N.X", "N.Y", "N.Z", "B", "G", "R")), colour_channels(("Y", "A"))
    ((5, 4, 3), (0,))
    """
    places = {name.lower(): index for index, name in reversed(list(enumerate(names)))}
    layers = dict.fromkeys(["", *(name.lower().rpartition(".")[0] for name in names)])
    for triple in _TRIPLES:
        for layer in layers:
            wanted = [f"{layer}.{part}" if layer else part for part in triple]
            if all(name in places for name in wanted):
                return tuple(places[name] for name in wanted)
    return tuple(i for i, name in enumerate(names) if _last(name) not in _ALPHA)[:1]


def alpha_channel(names: Sequence[str]) -> int | None:
    """Return the index of the alpha channel, or None."""
    return next((i for i, name in enumerate(names) if _last(name) in _ALPHA), None)


def _last(name: str) -> str:
    return name.lower().rpartition(".")[2]
