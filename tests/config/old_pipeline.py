"""How a scene in linear Rec.709 was seen before the switch, worked out without OpenColorIO.

Formulas: IEC 61966-2-1 (sRGB) and ITU-R BT.1886 with black at 0; the ASC CDL as printed in the
specification of the Common LUT Format (Academy S-2014-006, ``ASC_CDL``). Matrices: the published
ones in ``tests/data/reference``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray
from tests.colour.reference import matrices, rows

from primecoat.config.look_file import LookFile, files_beside

Array = NDArray[np.float64]

REC709 = "lin_rec709_scene"
SRGB = "srgb_rec709_display"
SRGB_DISPLAY = "sRGB - Display"

REC709_TO_AP1 = np.linalg.inv(
    matrices("matrices__materialx-1.39.csv")["ap1_to_rec709_bradford_13sig"]
)
REC709_TO_AP0 = matrices("matrices__color-interop-forum-rec01.csv")["rec709_to_ap0_bradford"]
LUMA = np.array([0.2126, 0.7152, 0.0722])


def ramp() -> Array:
    """Neutral, 8 stops below mid-grey to 6.5 above, in steps of a quarter; shape (59, 3)."""
    grey: Array = np.repeat(0.18 * 2.0 ** np.linspace(-8.0, 6.5, 59)[:, None], 3, axis=1)
    return grey


def chart() -> Array:
    """The 24 patches in linear Rec.709; shape (24, 3)."""
    patches = rows("colour-chart__smpte-st-2065-1.csv")
    ap0 = np.array([[float(row[f"ap0_{channel}"]) for channel in "rgb"] for row in patches])
    light: Array = ap0 @ np.linalg.inv(REC709_TO_AP0).T
    return light


def wild() -> Array:
    """Negative, very small, very large and saturated values in linear Rec.709; shape (400, 3)."""
    random = np.random.default_rng(7)
    sizes: Array = 2.0 ** random.uniform(-9.0, 5.0, (400, 3))
    return sizes * np.where(random.random((400, 3)) < 0.25, -1.0, 1.0)


def everything() -> Array:
    return np.concatenate([ramp(), chart(), wild()])


def srgb(light: Array) -> Array:
    """Encode 0 to 1 as sRGB; what lies outside is clipped, as a display does."""
    light = np.clip(light, 0.0, 1.0)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def from_srgb(codes: Array) -> Array:
    return np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)


Numbers = tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], float]
"""Slope, offset, power and saturation of an ASC CDL."""


def cdl(rgb: Array, numbers: Numbers, *, clamp: bool) -> Array:
    """out = clamp(in * slope + offset) ^ power, then saturation about the Rec.709 luma, clamp.

    Without clamp a negative number is not raised to the power.
    """
    slope, offset, power = (np.array(part) for part in numbers[:3])
    saturation = numbers[3]
    out: Array = rgb * slope + offset
    if clamp:
        out = np.clip(out, 0.0, 1.0) ** power
    else:
        out = np.where(out < 0.0, out, np.abs(out) ** power)
    luma = (out @ LUMA)[..., None]
    out = luma + saturation * (out - luma)
    return np.clip(out, 0.0, 1.0) if clamp else out


def placed(config: ocio.Config, folder: Path, *looks: LookFile | None) -> ocio.Config:
    """Write a config with the files that lie beside it, and read it back from there."""
    config.validate()
    for source, name in files_beside(*looks):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(source.read_bytes())
    written = folder / "tea.ocio"
    written.write_text(config.serialize(), "utf-8")
    back = ocio.Config.CreateFromFile(str(written))
    back.validate()
    return back


def through(
    config: ocio.Config,
    rec709: Array,
    view: str,
    display: str = SRGB_DISPLAY,
    *,
    flags: ocio.OptimizationFlags = ocio.OPTIMIZATION_NONE,
) -> Array:
    """Carry linear Rec.709 to ACEScg by the published matrix, and see that through a view.

    Returns display code values, clipped to 0 to 1.
    """
    processor = config.getProcessor(
        ocio.DisplayViewTransform(src="ACEScg", display=display, view=view)
    )
    return np.clip(applied(processor, rec709 @ REC709_TO_AP1.T, flags), 0.0, 1.0)


def applied(
    processor: ocio.Processor,
    values: Array,
    flags: ocio.OptimizationFlags = ocio.OPTIMIZATION_NONE,
) -> Array:
    pixels = np.ascontiguousarray(values, dtype=np.float32)
    processor.getOptimizedCPUProcessor(flags).applyRGB(pixels)
    return pixels.astype(np.float64)


def worst(ours: Array, theirs: Array) -> float:
    """Return the greatest difference in 8-bit codes."""
    assert np.isfinite(ours).all()
    return float(255.0 * np.abs(ours - theirs).max())
