"""Corrections of an old render, with what each must be judged as; known from how it is made."""

from __future__ import annotations

import numpy as np
from tests.renders.correction_writers import (
    AP1,
    BRADFORD,
    REC709,
    REC709_TO_AP1,
    STOP_IN_ACESCCT,
    Old,
    adaptation,
    cc,
    clf,
    clf_half,
    clf_matrix,
    cube_1d,
    cube_3d,
    entry,
    filmic,
    in_ap1,
    matrix_transform,
    moved,
    of_ap1_in_rec709,
    reds_darker,
    rolled_off_above_white,
    s_curve,
    saturation,
    spi1d,
    text,
    transforms,
)

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
