"""Benchmark of the desk: pictures under a reading, and the first rows of a long list.

``python benchmarks/desk.py [--size small|full] [--json]``

*dragged*: median and 95th percentile of a quick picture of a 4096 x 4096 PNG while the exposure is
dragged, in ms, the file decoded before, and its processor time.
*first*: the first such picture, decoding included.
*exact*: codes of a 1920 x 1080 picture (small: 960 x 540) on one thread and on two, and
``exact_cost_ratio``, ``..._two_threads``: their time over that of OpenColorIO's own processor
without optimisation, in one call on one thread, in the same run; ``..._untonemapped`` for the
cheapest view there is. *after_exp*: the library's own time after ``numpy.exp`` over that without.
*list*: seconds to the first 100 of 20,000 rows (small: 2,000), and to the next 100.
*large*: a 16384 x 16384 TIFF (small: 4096) of 8 bits made small: seconds, and peak memory.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
from _figures import seconds, show
from _many import write_many
from PIL import Image

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.images.oiio_stream import write_parts
from primecoat.images.part import Part
from primecoat.report.shown.seen import Viewing, display_codes
from primecoat.workflow.listing import Pick
from primecoat.workflow.shown import shown

SIZES = {"small": ((960, 540), 2_000, 4096), "full": ((1920, 1080), 20_000, 16384)}
VIEWS = {"": DEFAULT_VIEW, "_untonemapped": "Un-tone-mapped"}
TIMES = 3
SPACE = "lin_rec709_scene"


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    (width, height), rows, side = SIZES[arguments.size]
    figures: dict[str, float] = {}
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as name:
        folder = Path(name)
        figures |= large(folder, side)  # first: peak memory is that of the process
        figures |= dragged(folder)
        for word, view in VIEWS.items():
            figures |= exact(width, height, view, word)
        figures |= first_rows(folder / "many", rows)
    show("desk", figures, as_json=arguments.json)
    return 0


def large(folder: Path, side: int) -> dict[str, float]:
    """Return what a large picture costs."""
    path = folder / "large.tif"
    strip = noise(side, 256)
    part = Part(
        width=side,
        height=side,
        channels=("R", "G", "B"),
        types=("uint8",) * 3,
        header=(("compression", "string", "zip"),),
    )
    write_parts(path, [part], [[lambda: iter([strip] * (side // 256))]])
    before = peak()
    took = seconds(lambda: shown(path, "srgb_rec709_scene", size=(640, 640)))
    return {
        "large_side": side,
        "large_seconds": took,
        "large_peak_memory_mb": peak(),
        "large_peak_memory_before_mb": before,
    }


def noise(width: int, height: int) -> np.ndarray[tuple[int, int, int], np.dtype[np.uint8]]:
    """Return a picture with grain, made of one tile."""
    tile = np.random.default_rng(8).integers(90, 150, (256, 256, 3), np.uint8)
    return np.tile(tile, (height // 256, width // 256, 1))


def peak() -> float:
    """Return the greatest memory so far, in MiB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def dragged(folder: Path) -> dict[str, float]:
    """Return how long quick pictures take while the exposure is dragged."""
    path = folder / "glaze.png"
    Image.fromarray(noise(4096, 4096)).save(path, compress_level=1)

    def one(stops: float) -> float:
        start = time.perf_counter()
        shown(path, "srgb_rec709_scene", stops=stops, size=(900, 900), quick=True)
        return 1000 * (time.perf_counter() - start)

    first = one(0.0)
    before = time.process_time()
    times = sorted(one(step / 10) for step in range(1, 31))
    cpu = 1000 * (time.process_time() - before) / 30
    return {
        "first_reduced_ms": first,
        "dragged_reduced_median_ms": statistics.median(times),
        "dragged_reduced_p95_ms": times[28],
        "dragged_reduced_cpu_ms": cpu,
    }


def exact(width: int, height: int, view: str, word: str) -> dict[str, float]:
    """Return the cost of exact codes over the library's own call."""
    values = np.random.default_rng(9).random((height, width, 3), np.float32)
    viewing = Viewing(view=view)
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    transform = ocio.DisplayViewTransform(src=SPACE, display=DEFAULT_DISPLAY, view=view)
    processor = config.getProcessor(transform).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)

    def plainly(*, clean: bool = False) -> None:
        pixels = values.copy()
        if clean:
            np.exp(np.zeros(64, np.float32))
        processor.apply(ocio.PackedImageDesc(pixels, width, height, 3))

    ways: dict[str, Callable[[], object]] = {
        "plain": plainly,
        "after_exp": lambda: plainly(clean=True),
        "one": lambda: display_codes(values, SPACE, viewing, threads=1),
        "two": lambda: display_codes(values, SPACE, viewing, threads=2),
        "two_plain": lambda: _both(plainly),
    }
    ways["one"]()
    took: dict[str, list[float]] = {way: [] for way in ways}
    for _ in range(TIMES):  # by turns, so that what else the machine does hits all
        for way, work in ways.items():
            took[way].append(seconds(work))
    best = {way: min(times) for way, times in took.items()}
    return {
        f"exact_seconds{word}": best["one"],
        f"exact_seconds_two_threads{word}": best["two"],
        f"plain_seconds{word}": best["plain"],
        f"exact_cost_ratio{word}": best["one"] / best["plain"],
        f"exact_two_threads_cost_ratio{word}": best["two"] / best["plain"],
        f"after_exp_ratio{word}": best["after_exp"] / best["plain"],
        f"plain_twice_at_once_ratio{word}": best["two_plain"] / best["plain"],
    }


def _both(work: Callable[[], object]) -> None:
    """Do some work twice at the same time: twice as long if the library holds the interpreter."""
    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def first_rows(folder: Path, count: int) -> dict[str, float]:
    """Return how long the list of a folder of many small pictures takes, surveyed before."""
    folder.mkdir()
    write_many(folder, count)
    survey = workflow.survey(folder)

    def rows() -> None:
        found = workflow.pick_images(workflow.list_images(survey), Pick())
        if len(found.rows[:100]) != 100:
            raise SystemExit("the list is too short")

    listed = workflow.list_images(survey)
    return {
        "list_rows": count,
        "list_first_seconds": seconds(rows),
        "list_sorted_again_seconds": seconds(lambda: workflow.pick_images(listed, Pick())),
    }


if __name__ == "__main__":
    sys.exit(main())
