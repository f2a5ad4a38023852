"""Writers of old corrections, and the maths in them.

Nothing here uses the program: formats are written from their specifications (ASC CDL v1.2, Common
LUT Format S-2014-006, the plain text of .cube, .spi1d and .spi3d tables, OpenColorIO's config
syntax), and colour maths from published figures. What each must be judged as is known from how it
is made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

REC709, AP1 = "lin_rec709_scene", "lin_ap1_scene"
LUMA = np.array([0.2126, 0.7152, 0.0722])  # Recommendation ITU-R BT.709

REC709_TO_AP1 = np.array(  # Color Interop Forum, Texture Assets v1.1.0
    [
        [0.613097, 0.339523, 0.047379],
        [0.070194, 0.916354, 0.013452],
        [0.020616, 0.109570, 0.869815],
    ]
)
REC709_TO_XYZ = np.array(  # IEC 61966-2-1
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
BRADFORD = np.array(  # ICC.1, annex E
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
STOP_IN_ACESCCT = 1 / 17.52  # S-2016-001: (log2 x + 9.72) / 17.52


@dataclass(frozen=True, slots=True, kw_only=True)
class Old:
    """One correction: how it is written, and what is said of it."""

    name: str
    file: str
    write: Callable[[Path], object]
    space: str | None = REC709
    gives: str | None = None
    clamp: bool | None = None
    ap1: np.ndarray | None = None
    """What it does to linear AP1, as a matrix, if it may stay."""


def in_ap1(*gains: float) -> np.ndarray:
    """Gains of linear Rec.709 (one or three) as a matrix on linear AP1."""
    return moved(np.diag(np.resize(gains, 3)))


def moved(matrix: np.ndarray) -> np.ndarray:
    """A matrix on linear Rec.709 as one on linear AP1."""
    return np.asarray(REC709_TO_AP1 @ matrix @ np.linalg.inv(REC709_TO_AP1))


def text(words: str) -> Callable[[Path], object]:
    return lambda path: path.write_text(words, encoding="utf-8")


def entry(words: str) -> Callable[[Path], object]:
    return text(f"[[correction]]\n{words}\n")


def transforms(*words: str) -> Callable[[Path], object]:
    return text("".join(f"- !<{word}\n" for word in words))


def cc(
    slope: str = "1 1 1", offset: str = "0 0 0", power: str = "1 1 1", saturation: str = "1"
) -> Callable[[Path], object]:
    return text(
        f'<ColorCorrection id="c"><SOPNode><Slope>{slope}</Slope><Offset>{offset}</Offset>'
        f"<Power>{power}</Power></SOPNode><SatNode><Saturation>{saturation}</Saturation></SatNode>"
        "</ColorCorrection>"
    )


def clf(inside: str) -> Callable[[Path], object]:
    return text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<ProcessList id="p" compCLFversion="3.0">'
        f"{inside}</ProcessList>"
    )


def clf_matrix(matrix: np.ndarray) -> Callable[[Path], object]:
    rows = "\n".join(" ".join(f"{v:.9f}" for v in row) for row in matrix)
    return clf(
        f'<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 3">\n{rows}\n</Array></Matrix>'
    )


def clf_half(curve: Callable[[np.ndarray], np.ndarray]) -> Callable[[Path], object]:
    """A table with one entry for each of the 65536 half floats."""
    codes = np.arange(65536, dtype=np.uint16).view(np.float16).astype(np.float64)
    with np.errstate(all="ignore"):
        table = np.nan_to_num(curve(np.nan_to_num(codes, posinf=65504, neginf=-65504)))
    rows = "\n".join(f"{v:.9g}" for v in table)
    return clf(
        '<LUT1D inBitDepth="16f" outBitDepth="32f" halfDomain="true">'
        f'<Array dim="65536 1">\n{rows}\n</Array></LUT1D>'
    )


def matrix_transform(matrix: np.ndarray) -> Callable[[Path], object]:
    four = np.eye(4)
    four[:3, :3] = matrix
    return transforms(
        f"MatrixTransform> {{matrix: {[round(v, 12) for v in four.ravel().tolist()]}}}"
    )


def cube_1d(
    curve: Callable[[np.ndarray], np.ndarray], most: float = 1.0, size: int = 4096
) -> Callable[[Path], object]:
    steps = np.linspace(0.0, most, size)
    rows = "\n".join(" ".join([f"{v:.9f}"] * 3) for v in curve(steps))
    return text(
        f"LUT_1D_SIZE {size}\nDOMAIN_MIN 0.0 0.0 0.0\nDOMAIN_MAX {most} {most} {most}\n{rows}\n"
    )


def cube_3d(
    colours: Callable[[np.ndarray], np.ndarray], most: float = 1.0, size: int = 17
) -> Callable[[Path], object]:
    steps = np.linspace(0.0, most, size)
    blue, green, red = np.meshgrid(steps, steps, steps, indexing="ij")  # red runs fastest
    table = colours(np.stack([red, green, blue], axis=-1).reshape(-1, 3))
    rows = "\n".join(" ".join(f"{v:.9f}" for v in row) for row in table)
    return text(
        f"LUT_3D_SIZE {size}\nDOMAIN_MIN 0.0 0.0 0.0\nDOMAIN_MAX {most} {most} {most}\n{rows}\n"
    )


def spi1d(
    curve: Callable[[np.ndarray], np.ndarray], most: float, size: int = 4096
) -> Callable[[Path], object]:
    rows = "\n".join(f"{v:.9f}" for v in curve(np.linspace(0.0, most, size)))
    return text(f"Version 1\nFrom 0.0 {most}\nLength {size}\nComponents 1\n{{\n{rows}\n}}\n")


def rolled_off_above_white(x: np.ndarray) -> np.ndarray:
    """Nothing up to 1, within 1e-4; above it highlights are rolled off towards 4."""
    above = np.maximum(x - 1.0, 0.0)
    return np.where(x <= 1.0, x + 5e-5 * np.sin(40 * x), 1.0 + 3.0 * (1 - np.exp(-above / 3.0)))


def s_curve(x: np.ndarray) -> np.ndarray:
    """Slope 1 at mid-grey, which it keeps, and ever flatter towards both ends."""
    stops = np.log2(np.maximum(x, 1e-9) / 0.18)
    return np.asarray(0.18 * np.exp2(4.0 * np.tanh(stops / 4.0)))


def filmic(x: np.ndarray) -> np.ndarray:
    """A rational tone curve: toe, straight part, shoulder to 1; made up."""
    return np.asarray((x * (2.5 * x + 0.03)) / (x * (2.4 * x + 0.6) + 0.14))


def reds_darker(rgb: np.ndarray) -> np.ndarray:
    """Nothing, but where red is above four times green and blue: half the red."""
    red = rgb[:, 0] > 4 * rgb[:, 1:].max(axis=1)
    return np.where(red[:, None] * [True, False, False], 0.5 * rgb, rgb)


def saturation(amount: float) -> np.ndarray:
    return amount * np.eye(3) + (1 - amount) * np.outer(np.ones(3), LUMA)


def adaptation(cones: np.ndarray, gains: tuple[float, float, float]) -> np.ndarray:
    """White adapted in cones, as a matrix on linear Rec.709."""
    into = cones @ REC709_TO_XYZ
    return np.asarray(np.linalg.inv(into) @ np.diag(gains) @ into)


def of_ap1_in_rec709(gains: tuple[float, float, float]) -> np.ndarray:
    return np.asarray(np.linalg.inv(REC709_TO_AP1) @ np.diag(gains) @ REC709_TO_AP1)
