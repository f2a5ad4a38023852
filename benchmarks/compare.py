"""Benchmark of comparing two renders, against reading them and seeing them through a view.

``python benchmarks/compare.py [--size small|full] [--json]``

Two half EXR renders of 4096 x 2160 (small: 2048 x 1080) are compared. Beside it, in the same run,
both files are read whole by the image library and put through the view by OpenColorIO's own
processor without optimisation, in one call each (on one core, as it works).
``compare_cost_ratio`` is the time of the first over the second, for the usual view;
``..._untonemapped`` for the cheapest one there is, and ``..._pictures`` with pictures drawn.
``cpu_cost_ratio`` compares processor seconds, whatever the number of cores.
*difference*: seconds a megapixel of CIEDE2000 in float32 and in float64, and the
greatest difference between them on real display colours.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
import PyOpenColorIO as ocio
from _figures import show

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.difference_rows import ciede2000_rows, lab_rows
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.images.oiio import write_pixels
from primecoat.renders.compare import compare_renders
from primecoat.renders.inputs import Input

SIZES = {"small": (2048, 1080), "full": (4096, 2160)}
SPACE = "lin_ap1_scene"
VIEWS = {"": DEFAULT_VIEW, "_untonemapped": "Un-tone-mapped"}
TIMES = 3


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    width, height = SIZES[arguments.size]
    figures: dict[str, float] = {"width": width, "height": height}
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as name:
        folder = Path(name)
        for seed, file in enumerate(("old.exr", "new.exr")):
            write_render(folder / file, width, height, seed)
        for word, view in VIEWS.items():
            figures |= ratio(folder, view, word)
        figures |= ratio(folder, DEFAULT_VIEW, "_pictures", pictures=folder / "drawn")
    figures["peak_memory_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    figures |= difference()
    show("compare", figures, as_json=arguments.json)
    return 0


def ratio(folder: Path, view: str, word: str, *, pictures: Path | None = None) -> dict[str, float]:
    """Return the cost of a comparison over that of reading and seeing both pictures."""
    files = [folder / "old.exr", folder / "new.exr"]

    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    transform = ocio.DisplayViewTransform(src=SPACE, display=DEFAULT_DISPLAY, view=view)
    processor = config.getProcessor(transform).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)

    def ours() -> None:
        a, b = (Input(name=str(path), space=SPACE, view=view) for path in files)
        compare_renders(a, b, pictures=pictures)

    def plainly() -> None:
        for path in files:
            read_and_see(path, processor)

    own, plain = [], []
    ours()  # the view is built once, here as in the processor above
    for _ in range(TIMES):  # by turns, so that what else the machine does hits both
        own.append(timed(ours))
        plain.append(timed(plainly))
    (own_wall, own_cpu), (wall, cpu) = (
        tuple(min(run[at] for run in runs) for at in (0, 1)) for runs in (own, plain)
    )
    return {
        f"compare_cost_ratio{word}": own_wall / wall,
        f"cpu_cost_ratio{word}": own_cpu / cpu,
        f"compare_seconds{word}": own_wall,
        f"read_and_view_seconds{word}": wall,
    }


def read_and_see(path: Path, processor: ocio.CPUProcessor) -> None:
    """Read a picture whole and see it through a view, by the libraries' own calls."""
    source = oiio.ImageInput.open(str(path))
    if source is None:
        raise SystemExit(oiio.geterror())
    pixels = source.read_image(0, 0, 0, 3, "float")
    source.close()
    height, width, _ = pixels.shape
    # vector registers left dirty make the processor half as fast; numpy cleans them for both ways
    np.exp(np.zeros(64, np.float32))
    processor.apply(ocio.PackedImageDesc(pixels, width, height, 3))


def difference() -> dict[str, float]:
    """Return speed and error of CIEDE2000 in float32."""
    random = np.random.default_rng(3)
    one = random.random((1_000_000, 3), np.float32)
    other = np.abs(one + random.normal(0, 0.03, one.shape).astype(np.float32))
    exact = ciede2000(lab(one), lab(other))
    found = np.empty(len(one), np.float32)

    def in_bands() -> None:
        for first in range(0, len(one), 1 << 15):
            rows = slice(first, first + (1 << 15))
            found[rows] = ciede2000_rows(lab_rows(one[rows]), lab_rows(other[rows]))

    return {
        "ciede2000_seconds_per_megapixel": timed(in_bands)[1],
        "ciede2000_float64_seconds_per_megapixel": timed(lambda: ciede2000(lab(one), lab(other)))[
            1
        ],
        "ciede2000_greatest_error": float(np.abs(found - exact).max()),
    }


def write_render(path: Path, width: int, height: int, seed: int) -> None:
    """Write a noisy picture of three lit balls before a bright sky."""
    random = np.random.default_rng(seed)
    down, across = np.mgrid[0:height, 0:width].astype(np.float32) / np.float32(height)
    light = (0.2 + 0.9 * (1 - down))[..., None] * np.array([0.6, 0.8, 1.1], np.float32)
    for left, top, radius, colour in (
        (0.45, 0.5, 0.2, (0.8, 0.25, 0.1)),
        (1.0, 0.55, 0.25, (0.05, 0.35, 0.12)),
        (1.5, 0.5, 0.18, (0.06, 0.1, 0.7)),
    ):
        x, y = (across - left) / radius, (down - top) / radius
        depth = np.sqrt(np.clip(1 - x * x - y * y, 0, 1))
        lit = np.clip(-0.5 * x - 0.6 * y + 0.62 * depth, 0, 1)
        shine = 8 * np.clip(-0.3 * x - 0.4 * y + 0.87 * depth, 0, 1) ** 60
        ball = lit[..., None] * np.array(colour, np.float32) * 1.5 + shine[..., None] + 0.01
        light = np.where((depth > 0)[..., None], ball, light)
    light *= 1 + random.normal(0, 0.01, light.shape).astype(np.float32)
    if seed:
        light *= 1.07
    write_pixels(path, light.astype(np.float16), attributes={"compression": "zip"})


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Return wall-clock and processor seconds of some work."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - cpu


if __name__ == "__main__":
    sys.exit(main())
