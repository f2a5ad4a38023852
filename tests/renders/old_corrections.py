"""Corrections as an old pipeline would have left them, written by hand, byte by byte.

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


IN_ACESCCT = "ColorSpaceTransform> {src: Linear Rec.709 (sRGB), dst: ACEScct}"
OUT_OF_ACESCCT = "ColorSpaceTransform> {src: ACEScct, dst: Linear Rec.709 (sRGB)}"
STOP_UP = f"CDLTransform> {{offset: [{', '.join([str(STOP_IN_ACESCCT)] * 3)}], style: noclamp}}"

STAY = (
    Old(name="exposure", ap1=in_ap1(2**-1.5), file="a.toml", write=entry("exposure = -1.5")),
    Old(name="gain of one number", ap1=in_ap1(2.5), file="a.toml", write=entry("gain = 2.5")),
    Old(
        name="white balance",
        ap1=in_ap1(1.2, 1, 0.8),
        file="a.toml",
        write=entry("white_balance = [1.2, 1, 0.8]"),
    ),
    Old(
        name="strong warm gains",
        ap1=in_ap1(2.4, 1, 0.4),
        file="a.csv",
        write=text("correction,value\ngain,2.4 1 0.4\n"),
    ),
    Old(name="power 1", ap1=np.eye(3), file="a.toml", write=entry("power = 1.0")),
    Old(name="saturation 1", ap1=np.eye(3), file="a.toml", write=entry("saturation = 1.0")),
    Old(name="offset 0", ap1=np.eye(3), file="a.toml", write=entry("offset = 0")),
    Old(
        name="curve on the diagonal that goes on",
        ap1=np.eye(3),
        file="a.toml",
        write=entry('points = [[0, 0], [0.18, 0.18], [1, 1]]\nbeyond = "extend"'),
    ),
    Old(
        name="CDL of slopes only",
        ap1=in_ap1(1.18, 1.02, 0.86),
        file="a.cc",
        write=cc("1.18 1.02 0.86"),
        clamp=False,
    ),
    Old(
        name="a stop as an offset in ACEScct",
        ap1=in_ap1(2),
        file="a.cc",
        write=cc(offset=" ".join([str(STOP_IN_ACESCCT)] * 3)),
        space="ACEScct",
        clamp=False,
    ),
    Old(
        name="white balance as offsets in ACEScct, downwards",
        ap1=np.diag(np.exp2(np.array([-0.02, -0.03, -0.05]) * 17.52)),
        file="a.cc",
        write=cc(offset="-0.02 -0.03 -0.05"),
        space="ACEScct",
        clamp=False,
    ),
    Old(
        name="gain in another primaries set",
        ap1=np.diag([1.3, 1, 0.7]),
        file="a.yaml",
        write=matrix_transform(of_ap1_in_rec709((1.3, 1.0, 0.7))),
    ),
    Old(
        name="CLF of a diagonal matrix",
        ap1=in_ap1(1.1, 1, 0.9),
        file="a.clf",
        write=clf_matrix(np.diag([1.1, 1.0, 0.9])),
        gives=REC709,
    ),
    Old(
        name="CLF of a Bradford white balance",
        ap1=moved(adaptation(BRADFORD, (1.15, 1, 0.75))),
        file="a.clf",
        write=clf_matrix(adaptation(BRADFORD, (1.15, 1.0, 0.75))),
        gives=REC709,
    ),
    Old(
        name="gain as a table of half floats",
        ap1=in_ap1(1.7),
        file="a.clf",
        write=clf_half(lambda x: 1.7 * x),
        gives=REC709,
    ),
    Old(
        name="gain as a table to 256",
        ap1=in_ap1(0.5),
        file="a.spi1d",
        write=spi1d(lambda x: 0.5 * x, 256.0),
        gives=REC709,
    ),
    Old(
        name="gains as a cube to 200",
        ap1=in_ap1(1.1, 1, 0.8),
        file="a.cube",
        write=cube_3d(lambda x: x * [1.1, 1.0, 0.8], 200.0),
        gives=REC709,
    ),
    Old(
        name="list that goes into ACEScct, a stop up, and back",
        ap1=in_ap1(2),
        file="a.yaml",
        write=transforms(IN_ACESCCT, STOP_UP, OUT_OF_ACESCCT),
    ),
    Old(
        name="linear exposure, inverse",
        ap1=in_ap1(2**-0.7),
        file="a.yml",
        write=transforms(
            "ExposureContrastTransform> {style: linear, exposure: 0.7, contrast: 1, gamma: 1, "
            "pivot: 0.18, direction: inverse}"
        ),
    ),
    Old(
        name="gains on codes of a pure power",
        ap1=in_ap1(1.1**2.2, 1, 0.95**2.2),
        file="a.toml",
        write=entry("gain = [1.1, 1, 0.95]"),
        space="g22_rec709_scene",
    ),
)
"""Twenty that may stay."""

GO = (
    Old(
        name="linear table that clips at 1", file="a.cube", write=cube_1d(lambda x: x), gives=REC709
    ),
    Old(
        name="gains as a cube to 1",
        file="a.cube",
        write=cube_3d(lambda x: x * [1.0, 0.9, 0.8]),
        gives=REC709,
    ),
    Old(
        name="gain as a table to 16",
        file="a.spi1d",
        write=spi1d(lambda x: 0.5 * x, 16.0),
        gives=REC709,
    ),
    Old(name="S-curve with slope 1 at grey", file="a.clf", write=clf_half(s_curve), gives=REC709),
    Old(
        name="nothing up to 1, rolled off above",
        file="a.cube",
        write=cube_1d(rolled_off_above_white, 64.0, 65536),
        gives=REC709,
    ),
    Old(
        name="filmic curve",
        file="a.clf",
        write=clf_half(lambda x: filmic(np.maximum(x, 0))),
        gives=REC709,
    ),
    Old(
        name="saturation as a matrix", file="a.clf", write=clf_matrix(saturation(1.2)), gives=REC709
    ),
    Old(
        name="channels swapped in part",
        file="a.yaml",
        write=matrix_transform(np.array([[0.8, 0.2, 0.0], [0.0, 0.9, 0.0], [0.1, 0.0, 1.1]])),
    ),
    Old(name="saturation", file="a.toml", write=entry("saturation = 0.8")),
    Old(name="lift", file="a.toml", write=entry("offset = 0.01")),
    Old(name="tiny lift", file="a.cc", write=cc(offset="0.0002 0 0"), clamp=False),
    Old(name="negative gain", file="a.toml", write=entry("gain = [1, -1, 1]")),
    Old(name="channel thrown away", file="a.toml", write=entry("gain = [1, 1, 0]")),
    Old(name="power", file="a.toml", write=entry("power = 0.9")),
    Old(name="slopes that clamp", file="a.cc", write=cc("1.18 1.02 0.86"), clamp=True),
    Old(
        name="contrast in ACEScct",
        file="a.cc",
        write=cc("1.2 1.2 1.2", "-0.08 -0.08 -0.08"),
        space="ACEScct",
        clamp=False,
    ),
    Old(
        name="saturation in ACEScct",
        file="a.cc",
        write=cc(saturation="1.3"),
        space="ACEScct",
        clamp=False,
    ),
    Old(
        name="curve on the diagonal that ends at 1",
        file="a.toml",
        write=entry('points = [[0, 0], [1, 1]]\nbeyond = "hold"'),
    ),
    Old(
        name="display table",
        file="a.cube",
        write=cube_3d(lambda x: np.clip(x, 0, 1) ** (1 / 2.2)),
        gives="srgb_rec709_display",
    ),
    Old(
        name="gain on sRGB codes",
        file="a.toml",
        write=entry("gain = 1.3"),
        space="srgb_rec709_scene",
    ),
)
"""Twenty that must go."""

AFTER = (
    Old(
        name="display gamma", file="a.toml", write=entry("power = 1.1"), space="srgb_rec709_display"
    ),
    Old(
        name="display gain",
        file="a.toml",
        write=entry("gain = [1, 0.98, 0.95]"),
        space="g24_rec709_display",
    ),
    Old(
        name="display CDL that clamps",
        file="a.cc",
        write=cc("1.1 1 1", saturation="0.9"),
        space="srgb_rec709_display",
        clamp=True,
    ),
    Old(
        name="display cube",
        file="a.cube",
        write=cube_3d(lambda x: x**1.05),
        space="srgb_rec709_display",
        gives="srgb_rec709_display",
    ),
)
"""Some that belong after the view."""

BESIDES = (
    (
        "may stay",
        Old(
            name="nothing below 0 only",
            file="a.clf",
            write=clf(
                '<Range inBitDepth="32f" outBitDepth="32f"><minInValue>0</minInValue>'
                "<minOutValue>0</minOutValue></Range>"
            ),
            gives=REC709,
        ),
    ),
    (
        "must go",
        Old(
            name="range to 1",
            file="a.clf",
            write=clf(
                '<Range inBitDepth="32f" outBitDepth="32f"><minInValue>0</minInValue>'
                "<maxInValue>1</maxInValue><minOutValue>0</minOutValue><maxOutValue>1</maxOutValue>"
                "</Range>"
            ),
            gives=REC709,
        ),
    ),
    (
        "may stay",
        Old(
            name="two stops in ACEScc",
            file="a.cc",
            space="ACEScc",
            clamp=False,
            write=cc(offset=" ".join([str(2 * STOP_IN_ACESCCT)] * 3)),
        ),
    ),
    (
        "may stay",
        Old(
            name="gain of a camera's primaries",
            file="a.toml",
            write=entry("gain = [1.3, 1, 0.8]"),
            space="Linear ARRI Wide Gamut 3",
        ),
    ),
    ("must go", Old(name="black and white", file="a.toml", write=entry("saturation = 0"))),
    (
        "must go",
        Old(name="red and blue swapped", file="a.yaml", write=matrix_transform(np.eye(3)[::-1])),
    ),
    (
        "must go",
        Old(
            name="change of primaries that nobody states",
            file="a.yaml",
            write=matrix_transform(REC709_TO_AP1),
        ),
    ),
    (
        "may stay",
        Old(
            name="change of primaries that is stated",
            file="a.clf",
            write=clf_matrix(REC709_TO_AP1),
            gives=AP1,
        ),
    ),
    ("must go", Old(name="power 1.01", file="a.toml", write=entry("power = 1.01"))),
    (
        "must go",
        Old(
            name="shoulder above 40",
            file="a.clf",
            gives=REC709,
            write=clf_half(lambda x: np.where(x < 40, x, 40 + 0.9 * (x - 40))),
        ),
    ),
    ("must go", Old(name="small saturation", file="a.toml", write=entry("saturation = 1.01"))),
    ("may stay", Old(name="very small gain", file="a.toml", write=entry("gain = 0.001"))),
    (
        "may stay",
        Old(
            name="Bradford adaptation in AP1",
            file="a.clf",
            space=AP1,
            gives=AP1,
            write=clf_matrix(moved(adaptation(BRADFORD, (0.9, 1, 1.2)))),
        ),
    ),
    (
        "must go",
        Old(
            name="red curve only",
            file="a.yaml",
            write=transforms("ExponentTransform> {value: [1.1, 1, 1, 1]}"),
        ),
    ),
    (
        "must go",
        Old(
            name="gamut compression of saturated colours",
            file="a.yaml",
            space=AP1,
            write=transforms(
                "FixedFunctionTransform> {style: ACES_GamutComp13, "
                "params: [1.147, 1.264, 1.312, 0.815, 0.803, 0.88, 1.2]}"
            ),
        ),
    ),
    (
        "must go",
        Old(
            name="reds alone made darker",
            file="a.cube",
            gives=REC709,
            write=cube_3d(reds_darker, 200.0, 33),
        ),
    ),
    (
        "must go",
        Old(
            name="dip in the shadows",
            file="a.clf",
            gives=REC709,
            write=clf_half(lambda x: np.where((x > 0.004) & (x < 0.008), 0.97 * x, x)),
        ),
    ),
)
"""More of both kinds: edges of the thresholds, and what is easily taken for the other kind."""
