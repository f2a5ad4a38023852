"""Benchmark of the pixel measurement: its cost on top of decoding, and memory for a large EXR.

``python benchmarks/pixels.py [--size small|full] [--json]``

Both sizes measure 8-bit PNGs of 4096 x 4096 on one core, against a bare decode of the same file in
the same run (small: 3 rounds, full: 9; the least time of each counts), and survey a folder with
one half-float EXR of 16384 x 16384 in a process of its own, whose peak memory is read.
``measure_cost_ratio`` is the time that measuring adds to the decode, over the decode; of three
kinds of pictures the dearest. Scratch files (about 1 GB) lie in the temporary folder.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
from _figures import show
from survey import picture

from primecoat.images.oiio import read_bands, write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure

ROUNDS = {"small": 3, "full": 9}
WIDTH = 4096
LARGE = 16384
KINDS = ("color", "normal", "roughness")
_STRIP = 256


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=ROUNDS, default="small")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--write-large", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--survey-and-tell-memory", type=Path, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.write_large:
        write_large(arguments.write_large)
        return 0
    if arguments.survey_and_tell_memory:
        return survey_and_tell_memory(arguments.survey_and_tell_memory)
    figures: dict[str, float] = {"width": WIDTH, "large_width": LARGE}
    # Memory first: a process starts with the peak that its parent had when it was forked.
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
        large = memory(Path(folder))
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
        figures |= costs(Path(folder), ROUNDS[arguments.size])
    figures |= large
    show("pixels", figures, as_json=arguments.json)
    return 0


def costs(folder: Path, rounds: int) -> dict[str, float]:
    """Return seconds of processor time and ratios for each kind of picture."""
    figures: dict[str, float] = {}
    for number, kind in enumerate(KINDS):
        path = folder / f"{kind}.png"
        write_pixels(path, picture(kind, WIDTH, seed=number))
        header = read_header(path)
        measure(path, header)  # tables are made, the file is in memory
        decodes, measures = [], []
        for _ in range(rounds):
            decodes.append(seconds(lambda path=path: decode(path)))
            measures.append(seconds(lambda path=path, header=header: measure(path, header)))
        bare, whole = min(decodes), min(measures)
        figures[f"decode_seconds_{kind}"] = bare
        figures[f"measure_seconds_{kind}"] = whole - bare
        figures[f"measure_cost_ratio_{kind}"] = (whole - bare) / bare
    ratios = [figures[f"measure_cost_ratio_{kind}"] for kind in KINDS]
    return {"measure_cost_ratio": max(ratios), **figures}


def decode(path: Path) -> None:
    """Decode a file once, band by band, and keep nothing."""
    for _, band in read_bands(path):
        del band


def seconds(work: Callable[[], object]) -> float:
    """Return how much processor time some work takes in this process, which is one thread."""
    start = time.process_time()
    work()
    return time.process_time() - start


def memory(folder: Path) -> dict[str, float]:
    """Return the peak memory of surveying one large EXR, in a process of its own."""
    this = [sys.executable, __file__]
    subprocess.run([*this, "--write-large", str(folder / "sky.exr")], check=True)
    start = time.perf_counter()
    command = [*this, "--survey-and-tell-memory", str(folder)]
    ran = subprocess.run(command, capture_output=True, check=True, text=True)
    told = json.loads(ran.stdout)
    return {
        "peak_memory_16k_mb": told["kilobytes"] / 1024,
        "survey_seconds_16k": time.perf_counter() - start,
        "file_16k_mb": (folder / "sky.exr").stat().st_size / 2**20,
    }


def write_large(path: Path) -> None:
    """Write a half-float EXR strip by strip: a bright sky with grain, a sun, one NaN."""
    spec = oiio.ImageSpec(LARGE, LARGE, 3, "half")
    spec.attribute("compression", "zips")
    target = oiio.ImageOutput.create(str(path))
    if target is None or not target.open(str(path), spec):
        raise SystemExit(f"{path}: {oiio.geterror()}")
    rng = np.random.default_rng(1)
    grain = rng.normal(1.0, 0.05, (_STRIP, LARGE, 1)).astype(np.float32)
    for first in range(0, LARGE, _STRIP):
        strip = grain * np.array([0.3, 0.5, 0.9], dtype=np.float32) * (1.5 - first / LARGE)
        if first == _STRIP:
            strip[:20, :20] = 60000.0
            strip[30, 30, 1] = np.nan
        if not target.write_scanlines(first, first + _STRIP, 0, np.ascontiguousarray(strip)):
            raise SystemExit(f"{path}: {target.geterror()}")
    if not target.close():
        raise SystemExit(f"{path}: {target.geterror()}")


def survey_and_tell_memory(folder: Path) -> int:
    """Survey a folder; print the peak memory of this process and its workers in kilobytes."""
    from primecoat import workflow

    survey = workflow.survey(folder, workers=1)
    statistics = survey.readings.images[0].record.statistics
    assert statistics is not None
    assert statistics.pixels == LARGE * LARGE
    assert statistics.channels[0].at_maximum == 400
    assert statistics.channels[1].nan == 1
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    children = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    print(json.dumps({"kilobytes": own + children}))
    return 0


if __name__ == "__main__":
    sys.exit(main())
