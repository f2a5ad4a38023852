"""Which channels of a part belong together: colour triples, their alpha, and all the rest.

Channels are told by layer and name, never by their place: ``N.X N.Y N.Z R G B A`` holds one
triple, at 3, 4 and 5.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_TRIPLES = (("r", "g", "b"), ("red", "green", "blue"))
_ALPHA = ("a", "alpha")


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourLayer:
    """The colour of one layer of a part.

    Parameters
    ----------
    name
        As the file writes it; empty for the layer without a name.
    channels
        Indices of red, green and blue; one index for a grey layer.
    alpha
        Index of the layer's own alpha, or None.
    """

    name: str
    channels: tuple[int, ...]
    alpha: int | None


def colour_layers(names: Sequence[str]) -> tuple[ColourLayer, ...]:
    """Return every layer that holds colour: that without a name, then in the order of the file.

    It is the order of :func:`primecoat.images.layers.layers_of`, so that the first one here is
    the one that a picture's reading is about.

    A layer is grey if it has Y and nothing beside but alpha: ``N.X N.Y N.Z`` is a vector, Y with
    RY and BY is luminance and chroma. Beside a Y without a name, depth and others may stand. A
    layer without an alpha of its own takes that of the layer without a name.

    Examples
    --------
    >>> [c.channels for c in colour_layers(("N.X", "N.Y", "N.Z", "B", "G", "R", "A"))]
    [(5, 4, 3)]
    >>> [(c.name, c.channels) for c in colour_layers(("R", "G", "B", "coat.R", "coat.G", "coat.B"))]
    [('', (0, 1, 2)), ('coat', (3, 4, 5))]
    """
    layers: dict[str, dict[str, int]] = {}
    for index, name in enumerate(names):
        layer, _, last = name.rpartition(".")
        layers.setdefault(layer, {}).setdefault(last.lower(), index)
    shared = _alpha(layers.get("", {}))
    found = []
    for layer, places in layers.items():
        channels = _triple(places) or _grey(layer, places)
        if channels:
            alpha = _alpha(places)
            found.append(
                ColourLayer(name=layer, channels=channels, alpha=shared if alpha is None else alpha)
            )
    return tuple(sorted(found, key=lambda layer: bool(layer.name)))


def _triple(places: dict[str, int]) -> tuple[int, ...]:
    for triple in _TRIPLES:
        if all(name in places for name in triple):
            return tuple(places[name] for name in triple)
    return ()


def _grey(layer: str, places: dict[str, int]) -> tuple[int, ...]:
    beside = set(places) - {"y", *_ALPHA}
    other = beside if layer else beside & {"x", "ry", "by"}  # Z beside Y is depth
    return (places["y"],) if "y" in places and not other else ()


def _alpha(places: dict[str, int]) -> int | None:
    return next((places[name] for name in _ALPHA if name in places), None)
