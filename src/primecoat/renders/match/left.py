"""What is left after a look, in CIEDE2000, over blocks and over single pixels."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from primecoat.colour.difference import ciede2000
from primecoat.renders.bands import bands_together
from primecoat.renders.match.adjustment import Adjustment
from primecoat.renders.match.blocks import light_of
from primecoat.renders.match.model import Residual, Rows, Sample
from primecoat.renders.match.sight import Sight

_PIXELS = 1 << 18
"""Pixels of all frames that figures of single pixels are of; of one frame, an eighth."""


def sample_of(sight: Sight, frames: int) -> Sample:
    """Return some pixels of a frame.

    Parameters
    ----------
    frames
        How many frames there are: of many, fewer pixels of each are taken.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    pair = sight.pair
    wanted = min(_PIXELS // 8, max(1, _PIXELS // frames))
    stride = max(1, pair.a.width * pair.a.height // wanted)
    new, target = [], []
    for band in bands_together(pair.a, pair.b):
        old_rows = np.ascontiguousarray(band.a.reshape(-1, 3)[::stride])
        new_rows = np.ascontiguousarray(band.b.reshape(-1, 3)[::stride])
        one = light_of(old_rows, pair.a, pair.config)
        other = light_of(new_rows, pair.b, pair.config)
        finite = np.isfinite(one).all(axis=1) & np.isfinite(other).all(axis=1)
        new.append(other[finite])
        target.append(sight.lab(sight.old_codes(one[finite])))
    return Sample(sight=sight, light=np.concatenate(new), target=np.concatenate(target))


def left_after(
    samples: Iterable[Sample], codes_of: Callable[[Sight, Rows], Rows]
) -> tuple[float, float]:
    """Return mean and 95 % of CIEDE2000 over pixels, after anything that gives display codes."""
    found = np.concatenate(
        [ciede2000(one.sight.lab(codes_of(one.sight, one.light)), one.target) for one in samples]
    )
    return (float(found.mean()), float(np.percentile(found, 95))) if len(found) else (0.0, 0.0)


def residual_of(
    blocks: Iterable[Sample], samples: Iterable[Sample], adjustment: Adjustment
) -> Residual:
    """Return what is left after an adjustment of the new render."""

    def codes_of(sight: Sight, light: Rows) -> Rows:
        return sight.new_codes(light, adjustment)

    (mean, p95), (pixels_mean, pixels_p95) = (
        left_after(some, codes_of) for some in (blocks, samples)
    )
    return Residual(mean=mean, p95=p95, pixels_mean=pixels_mean, pixels_p95=pixels_p95)
