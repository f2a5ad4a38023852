"""A picture of a stage: the same paths seen by every basis.

The samples are drawn in batches that know nothing of one another, so that noise can be told from
difference (``certainty``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat import jobs
from primecoat.colour.difference_rows import ciede2000_rows, lab_rows
from primecoat.proof.paths.carried import BASES, seen
from primecoat.proof.paths.laid_out import held, laid_out
from primecoat.proof.paths.model import Camera, Stage
from primecoat.proof.paths.trace import Prepared, prepare, trace

Floats = NDArray[np.float32]
Exact = NDArray[np.float64]
_Traced = tuple[Floats, NDArray[np.int32]]

BATCHES: Final = 8
"""Batches of samples; eight tell a spread within about a quarter of itself."""

_AT_ONCE = 1 << 15
"""Paths followed at once, so that what they carry stays near the processor."""

_WORTH_A_POOL = 400_000
"""Paths below which starting worker processes costs more than it saves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rendered:
    """A picture by every basis.

    Parameters
    ----------
    batches
        X, Y, Z of each batch and basis, shape (batches, 3, height, width, 3), float32; one batch
        where figures are told already.
    surface
        Number of the surface that is met first, shape (height, width); -1 for none.
    samples
        Paths for each pixel, over all batches.
    """

    batches: Floats
    surface: NDArray[np.int32]
    samples: int

    def xyz(self, basis: str) -> Exact:
        """Return X, Y, Z by one basis, shape (height, width, 3); white is D65, Y 1."""
        return np.asarray(self.batches[:, BASES.index(basis)].mean(axis=0, dtype=np.float64))

    def told(self) -> Rendered:
        """Return the same picture without its batches, for which nothing can be told anew."""
        mean = self.batches.mean(axis=0, dtype=np.float64).astype(np.float32)
        return replace(self, batches=mean[None])


@dataclass(frozen=True, slots=True)
class _Batch:
    stage: int
    file: Path | None
    size: tuple[int, int]
    samples: int
    seed: int
    numbers: range
    bounces: int


Refined = Callable[[int, Rendered], None]
"""Told the number of a stage, and its picture by the batches that are done so far."""


def render(
    stage: Stage,
    size: tuple[int, int],
    *,
    samples: int = 16,
    seed: int = 1,
    bounces: int = 6,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
) -> Rendered:
    """Trace a picture of one stage; see :func:`render_all`."""
    (made,) = render_all(
        [stage], size, samples=samples, seed=seed, bounces=bounces, workplace=workplace
    )
    return made


def render_all(
    stages: Sequence[Stage],
    size: tuple[int, int],
    *,
    samples: int = 16,
    seed: int = 1,
    bounces: int = 6,
    by_turns: bool = False,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
    progress: jobs.Progress | None = None,
    refined: Refined | None = None,
) -> list[Rendered]:
    """Trace a picture of each stage, on the same chances.

    Parameters
    ----------
    size
        Height and width in pixels.
    samples
        Paths for each pixel; rounded up to a multiple of :data:`BATCHES`.
    seed
        Same seed, same picture, whatever works on it.
    bounces
        Surfaces that a path meets at most.
    by_turns
        Whether one batch of each stage is traced after the other, so that all pictures refine
        together; else one stage after the other.
    workplace
        Where it is done; by default on all cores.
    progress
        Told how many batches are done.
    refined
        Told each picture as it is so far, after each batch but the last.
    """
    each = -(-samples // BATCHES)
    paths = size[0] * size[1] * each
    at_once = max(1, min(BATCHES, _AT_ONCE // paths))  # of small pictures several batches
    starts = range(0, BATCHES, at_once)
    order = [
        (stage, range(start, min(start + at_once, BATCHES)))
        for stage in range(len(stages))
        for start in starts
    ]
    if by_turns:
        order.sort(key=lambda one: one[1].start)
    paths *= len(stages) * BATCHES
    engine = workplace.engine(jobs.POOL_FROM_BYTES if paths > _WORTH_A_POOL else 0)
    here = engine == jobs.LocalEngine(1)
    found: dict[int, dict[int, _Traced]] = {stage: {} for stage in range(len(stages))}
    with ExitStack() as stack:
        files: Sequence[Path | None] = [None] * len(stages)
        if not here:
            files = stack.enter_context(laid_out(stages))
        items = [
            _Batch(stage, files[stage], size, each, seed, numbers, bounces)
            for stage, numbers in order
        ]
        work = _Here(stages) if here else _traced_apart
        for done, (index, result) in enumerate(engine.run(work, items), start=1):
            if isinstance(result, jobs.WorkerDiedError):
                raise result
            stage, numbers = order[index]
            for number, batch in zip(numbers, result[0], strict=True):
                found[stage][number] = batch, result[1]
            if refined and len(found[stage]) < BATCHES:
                refined(stage, _together(found[stage], each))
            if progress:
                progress(done, len(items), 0, 0)
    return [_together(found[stage], each) for stage in range(len(stages))]


def _together(batches: dict[int, _Traced], each: int) -> Rendered:
    numbers = sorted(batches)
    return Rendered(
        batches=np.stack([batches[number][0] for number in numbers]),
        surface=batches[numbers[0]][1],
        samples=each * len(numbers),
    )


def difference(one: Exact | Floats, other: Exact | Floats) -> Floats:
    """Return CIEDE2000 of two pictures of X, Y, Z, shapes (height, width, 3), Y of white 1."""
    rows = [np.asarray(xyz, np.float32).reshape(-1, 3) for xyz in (one, other)]
    found = np.empty(len(rows[0]), np.float32)
    for first in range(0, len(found), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        found[part] = ciede2000_rows(lab_rows(rows[0][part]), lab_rows(rows[1][part]))
    return found.reshape(one.shape[:2])


def exposure_of(rendered: Rendered) -> float:
    """Return what brings the median of what is met to mid-grey, 0.18; 1 where all is dark."""
    bright = rendered.xyz("spectral")[..., 1]
    lit = bright[(rendered.surface >= 0) & (bright > 0)]
    return 0.18 / float(np.median(lit)) if lit.size else 1.0


def noise(rendered: Rendered, exposure: float) -> float:
    """Return the noise that is left in the picture: CIEDE2000, mean over the pixels.

    Half of the batches are held against the other half; the mean of both halves has half of the
    noise of their difference.
    """
    half = len(rendered.batches) // 2
    basis = BASES.index("spectral")
    one, other = (
        rendered.batches[part, basis].mean(axis=0, dtype=np.float64) * exposure
        for part in (slice(None, half), slice(half, None))
    )
    return float(difference(one, other).mean()) / 2.0


class _Here:
    """Traces batches in this process; the stage that was traced last is kept ready."""

    def __init__(self, stages: Sequence[Stage]) -> None:
        self._stages = stages
        self._ready = lru_cache(maxsize=2)(self._prepared)

    def _prepared(self, number: int) -> Prepared:
        return prepare(self._stages[number])

    def __call__(self, batch: _Batch) -> _Traced:
        return _traced(batch, self._ready(batch.stage), self._stages[batch.stage].camera)


@lru_cache(maxsize=2)
def _ready_apart(file: Path) -> tuple[Prepared, Camera]:
    stage = held(file)
    return prepare(stage), stage.camera


def _traced_apart(batch: _Batch) -> _Traced:
    assert batch.file is not None
    return _traced(batch, *_ready_apart(batch.file))


def _traced(batch: _Batch, ready: Prepared, camera: Camera) -> _Traced:
    """Return X, Y, Z of each batch, shape (batches, 3, height, width, 3), and what is met."""
    (height, width), batches = batch.size, len(batch.numbers)
    total = np.zeros((batches, len(BASES), height * width, 3), np.float64)
    surface = np.full(height * width, -1, np.int32)
    each = max(1, _AT_ONCE // (batch.samples * batches))  # pixels at once, with all their paths
    for start in range(0, height * width, each):
        pixels = np.arange(start, min(start + each, height * width))
        chances = np.random.default_rng([batch.seed, batch.numbers.start, start])
        for first in range(0, batch.samples, _AT_ONCE):  # more paths a pixel than that: by turns
            count = min(_AT_ONCE, batch.samples - first) * batches
            light, met = _sample(ready, camera, batch, np.repeat(pixels, count), chances)
            surface[pixels] = met.reshape(-1, count)[:, 0]
            for number, basis in enumerate(BASES):
                parts = seen(light, basis).reshape(len(pixels), batches, -1, 3).sum(axis=2)
                total[:, number, pixels] += parts.transpose(1, 0, 2)
    shape = (batches, len(BASES), height, width, 3)
    mean = (total / batch.samples).reshape(shape).astype(np.float32)
    return mean, surface.reshape(height, width)


def _sample(
    ready: Prepared,
    camera: Camera,
    batch: _Batch,
    pixels: NDArray[np.intp],
    chances: np.random.Generator,
) -> _Traced:
    """Trace one path for each pixel named, which may be named more than once."""
    height, width = batch.size
    shift = chances.random((len(pixels), 2), np.float32)
    down = (pixels // width + shift[:, 0]) / height - 0.5
    across = (pixels % width + shift[:, 1]) / width - 0.5
    ways = _ways(camera, across * (width / height), -down)
    origins = np.broadcast_to(np.array(camera.place, np.float32), ways.shape)
    return trace(ready, np.ascontiguousarray(origins), ways, chances, bounces=batch.bounces)


def _ways(camera: Camera, across: Exact, up: Exact) -> Floats:
    """Return unit vectors through places of the picture, in heights of it from its middle."""
    ahead = np.array(camera.target) - np.array(camera.place)
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, np.array(camera.up))
    right /= np.linalg.norm(right)
    above = np.cross(right, ahead)
    ways = ahead + (across * camera.height)[:, None] * right + (up * camera.height)[:, None] * above
    return np.asarray(ways / np.linalg.norm(ways, axis=1, keepdims=True), np.float32)
