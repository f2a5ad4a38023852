"""Benchmark of the survey: first run, repeated run, and a bare decode of the same files.

``python benchmarks/survey.py [--size small|full] [--json]``

Small: 24 pictures of 1024 x 1024; full: 500 of 2048 x 2048, as PNG with 8 bits. All figures of one
call are measured on the same files in the same run: seconds, and ratios to the bare decode.
"""

from __future__ import annotations

import argparse
import struct
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
from _figures import show

from primecoat import jobs, workflow
from primecoat.images.oiio import read_pixels, write_pixels

SIZES = {"small": (24, 1024), "full": (500, 2048)}
KINDS = ("color", "normal", "roughness", "color")
_IHDR_END = 33


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    count, width = SIZES[arguments.size]
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
        files = write_pictures(Path(folder), count, width)
        figures = measure(Path(folder), files)
    figures |= {"images": count, "width": width, "cores": jobs.cores()}
    show("survey", figures, as_json=arguments.json)
    return 0


def write_pictures(folder: Path, count: int, width: int) -> list[Path]:
    """Write pictures whose bytes all differ: a few kinds, each with a text chunk of its own."""
    bases = []
    for at, kind in enumerate(KINDS):
        path = folder / f"base_{at}.png"
        write_pixels(path, picture(kind, width, seed=at))
        bases.append(path.read_bytes())
        path.unlink()
    files = []
    for number in range(count):
        at = number % len(KINDS)
        body = b"Comment\x00" + str(number).encode()
        chunk = struct.pack(">I", len(body)) + b"tEXt" + body
        chunk += struct.pack(">I", zlib.crc32(b"tEXt" + body))
        data = bases[at]
        path = folder / f"tile{number:04d}_{KINDS[at]}.png"
        path.write_bytes(data[:_IHDR_END] + chunk + data[_IHDR_END:])
        files.append(path)
    return files


def picture(kind: str, width: int, seed: int) -> np.ndarray:
    """Return a picture with the detail of a real texture, shape (width, width, 3), uint8."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:width, 0:width] / width
    grain = rng.normal(0.0, 0.02, (width, width))
    base = 0.5 + 0.2 * np.sin(40 * x + 3 * np.sin(9 * y)) + grain
    if kind == "normal":
        dy, dx = np.gradient(base * 8.0)
        vector = np.stack([-dx, -dy, np.ones_like(dx)], axis=-1)
        vector /= np.linalg.norm(vector, axis=-1, keepdims=True)
        values = vector * 0.5 + 0.5
    elif kind == "roughness":
        values = np.repeat(base[..., None], 3, axis=-1)
    else:
        values = base[..., None] * np.array([0.9, 0.7, 0.5])
    return np.clip(np.round(values * 255), 0, 255).astype(np.uint8)


def measure(folder: Path, files: list[Path]) -> dict[str, float]:
    """Return seconds and ratios; the bare decode runs before and after, the mean counts."""
    decode_before = seconds(lambda: decode_all(files))
    first = seconds(lambda: workflow.survey(folder))
    decode_after = seconds(lambda: decode_all(files))
    repeats = [seconds(lambda: workflow.survey(folder)) for _ in range(3)]
    command = [sys.executable, "-m", "primecoat", "survey", str(folder), "--json"]
    process = seconds(lambda: subprocess.run(command, capture_output=True, check=False))
    decode = (decode_before + decode_after) / 2
    return {
        "decode_seconds": decode,
        "first_seconds": first,
        "repeated_seconds": min(repeats),
        "repeated_process_seconds": process,
        "first_cost_ratio": first / decode,
        "repeat_speedup": first / min(repeats),
        "repeat_process_speedup": first / process,
    }


def decode_all(files: list[Path]) -> None:
    """Decode every file once, on all cores, and keep nothing."""
    for _ in jobs.LocalEngine(jobs.cores()).run(decode, files):
        pass


def decode(path: Path) -> int:
    """Decode one file; return its size in samples."""
    return int(read_pixels(path).size)


def seconds(work: Callable[[], object]) -> float:
    """Return how long some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


if __name__ == "__main__":
    sys.exit(main())
