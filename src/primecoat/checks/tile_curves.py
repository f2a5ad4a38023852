"""PC317: a tile that went through a curve its set did not."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.images.fingerprint import Fingerprint, Relation, middle, tile_distances
from primecoat.reading.readings import Readings

_FEWEST = 3
_FAR = 0.06
"""Mean distance of quantiles from which a tile stands apart from its set."""

_NEARER = 0.4
"""Undoing the curve must bring it this much nearer."""

_WORDS: dict[Relation, str] = {
    "srgb_encoded": "fits the others only after an sRGB curve is undone: it was encoded once more",
    "srgb_decoded": "fits the others only after encoding it: it was decoded once more",
}


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for each tile whose values match its set only through an sRGB curve."""
    for image in readings.images:
        tiles = [
            (file.name, measure.statistics.fingerprint)
            for file, measure in image.record.members
            if measure.statistics is not None and measure.statistics.fingerprint is not None
        ]
        if len(tiles) < _FEWEST:
            continue
        for name, fingerprint in tiles:
            others = tuple(print_ for other, print_ in tiles if other != name)
            how = _odd(fingerprint, others)
            if how:
                yield finding(
                    "tile_went_through_a_curve",
                    image.record.path,
                    f"{name} {_WORDS[how]}.",
                    "Export this tile again like the others.",
                )


def _odd(tile: Fingerprint, others: tuple[Fingerprint, ...]) -> Relation | None:
    usual = middle(others)
    if usual is None:
        return None
    spread = max(tile_distances(other, usual)["same"] for other in others)
    distances = tile_distances(tile, usual)
    how = min(_WORDS, key=lambda way: distances[way])
    apart = distances["same"] >= max(_FAR, 2.0 * spread)
    return how if apart and distances[how] <= _NEARER * distances["same"] else None
