"""Two small renders, a desk on them, and how they look by OpenColorIO alone."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray
from tests.desk.windows import Window

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.desk.held import build_desk
from primecoat.desk.renders import Renders
from primecoat.desk.session import Asked
from primecoat.images.oiio import write_pixels

Picture = NDArray[np.float32]

SHAPE = (40, 64)
PLAIN = "Un-tone-mapped"
SRGB_REC709 = "Linear Rec.709 (sRGB)"
AP1 = "ACEScg"


def light(gain: float = 1.0, tint: tuple[float, float, float] = (1.0, 0.8, 0.6)) -> Picture:
    """Return a ramp over eight stops across and three shades down, as half holds it."""
    across = np.exp2(np.linspace(-5, 3, SHAPE[1]))
    down = np.linspace(0.6, 1.0, SHAPE[0])[:, None]
    tints = np.stack([np.ones_like(down) * tint[0], down * tint[1], down**2 * tint[2]], axis=-1)
    made = 0.18 * gain * across[None, :, None] * tints
    return made.astype(np.float16).astype(np.float32)


def write_renders(folder: Path, old: Picture, new: Picture) -> tuple[Path, Path]:
    """Write an old render that does not say its space, and a new one that does."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = folder / "old.exr", folder / "new.exr"
    write_pixels(paths[0], old, pixel_type="half")
    stated = {"colorInteropID": "lin_ap1_scene"}
    write_pixels(paths[1], new, pixel_type="half", attributes=stated)
    return paths


def window_on(scene: Path, survey: Survey, paths: tuple[Path, Path], **said: Any) -> Window:
    """Return a window of a desk that was opened with two renders."""
    renders = Renders(old=str(paths[0]), new=str(paths[1]), **said)
    return Window(build_desk(Asked(target=scene, renders=renders), survey))


@cache
def survey_of(scene: Path) -> Survey:
    return workflow.survey(scene, workers=1)


def seen(values: Picture, space: str, view: str = DEFAULT_VIEW) -> Picture:
    """Return display codes by OpenColorIO without optimisation; nothing of this project's."""
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    transform = ocio.DisplayViewTransform(src=space, display=DEFAULT_DISPLAY, view=view)
    codes = np.ascontiguousarray(values, np.float32).reshape(-1, 3).copy()
    config.getProcessor(transform).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(codes)
    return codes.reshape(values.shape)
