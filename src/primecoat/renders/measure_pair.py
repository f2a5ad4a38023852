"""Measure two frames: one pass over both, in bands, on all cores."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import UseError
from primecoat.jobs import cores
from primecoat.renders.bands import Band, bands_together
from primecoat.renders.canvas import block_of
from primecoat.renders.exposure import Stops, stops_between
from primecoat.renders.measure import Measured, Task, luminance_row, measure_band, scene_light
from primecoat.renders.pairing import Pair
from primecoat.renders.tally import Tally

Floats = NDArray[np.float32]

SAMPLE = 1 << 17
"""Pixels of a frame whose light is kept, for exposure and gamuts."""

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


def measure_pair(pair: Pair, *, gain: float = 1.0, pictures: bool = False) -> Tally:
    """Return what two frames come to.

    Parameters
    ----------
    pair
        The frames, and how they are seen.
    gain
        What the light of B is multiplied by first.
    pictures
        Whether to keep what pictures are drawn from.

    Raises
    ------
    ImageError
        If a picture cannot be decoded to the end.
    """
    task = Task(
        pair=pair,
        gain=gain,
        stride=_stride(pair),
        block=block_of(pair.a.width, pair.a.height) if pictures else 0,
    )
    tally = Tally(pair)
    bands = bands_together(pair.a, pair.b, max(1, task.block))

    def measure(band: Band) -> Measured:
        return measure_band(band, task)

    for measured in in_order(measure, bands):
        tally.take(measured)
    return tally


def exposure_between(pair: Pair) -> Stops:
    """Return the stops between two scene-referred frames, looking at nothing else.

    Raises
    ------
    UseError
        If one of them is display-referred: its view cannot be undone.
    """
    if pair.linear is None:
        raise UseError(
            "Exposure can only be aligned between scene-referred pictures: a view has bent the "
            "light of the others.",
            "Leave --align out, or give scene-referred renders.",
        )
    linear, stride = pair.linear, _stride(pair)
    weights = luminance_row(linear)
    found: list[tuple[Floats, Floats]] = []
    for band in bands_together(pair.a, pair.b):
        a, b = band.a.reshape(-1, 3)[::stride], band.b.reshape(-1, 3)[::stride]
        one = scene_light(np.ascontiguousarray(a), pair.a, linear, pair.config)
        other = scene_light(np.ascontiguousarray(b), pair.b, linear, pair.config)
        found.append((one @ weights, other @ weights))
    one, other = (np.concatenate([pieces[side] for pieces in found]) for side in (0, 1))
    return stops_between(one, other)


def in_order(work: Callable[[_Item], _Result], items: Iterable[_Item]) -> Iterator[_Result]:
    """Yield the results of some work in the order of the items, on all cores.

    The next items are made while the work goes on; few wait at a time.
    """
    threads = cores()
    with ThreadPoolExecutor(threads) as pool:
        waiting: deque[Future[_Result]] = deque()
        for item in items:
            waiting.append(pool.submit(work, item))
            if len(waiting) > threads:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


def _stride(pair: Pair) -> int:
    return max(1, pair.a.width * pair.a.height // SAMPLE)
