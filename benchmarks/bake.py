"""Benchmark of the bake: throughput against the image library's own path, cost curves, memory.

``python benchmarks/bake.py [--size small|full] [--json] [--only mixed,parts,curves,memory]``

*mixed*: textures of 4096 x 4096 (PNG of 8 and 16 bit, JPEG, half EXR by turns; small: 8, full: 64)
are baked on all cores, and in the same run read, converted and written by the image library's own
calls (forced to float; same codec and level; it uses all cores too). ``throughput_ratio`` is ours
over theirs. The two results must be equal within the rounding of half.

*parts*: processor seconds of decode, conversion and encode of one texture each; other lossless
codecs beside it, and what deflate adds to writing unpacked numbers, which is the floor.

*curves*: seconds a file from 1 to 256 files, seconds a megapixel from 1k to 16k (small: 16 files,
4k). A linear cost keeps the ratio of dearest to cheapest near 1.

*memory*: peak of baking one RGB picture of 16 bit (small: 8192 x 8192, full: 32768 x 32768), also
with mip levels, in processes of their own. Scratch files lie in the temporary folder.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
from _figures import seconds, show

from primecoat import jobs
from primecoat.bake.picture import bake_picture
from primecoat.colour.ocio import DEFAULT_CONFIG, convert_rows
from primecoat.images.oiio import codec_threads, read_pixels, write_pixels
from primecoat.plan.recipe import Storage

WIDTH = 4096
FILES = {"small": 8, "full": 64}
MOST_FILES = {"small": 16, "full": 256}
LARGEST = {"small": 4096, "full": 16384}
HUGE = {"small": 8192, "full": 32768}
KINDS = ("8.png", "16.png", "8.jpg", "half.exr")
READINGS = {
    "8.png": "srgb_rec709_scene",
    "16.png": "srgb_rec709_scene",
    "8.jpg": "srgb_rec709_scene",
    "half.exr": "lin_rec709_scene",
}
TARGET = "lin_ap1_scene"
HALF_ROUNDING = 2.0**-10
SECTIONS = ("memory", "mixed", "parts", "curves")


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=FILES, default="small")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--only", default=",".join(SECTIONS))
    parser.add_argument("--plainly", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--ours", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--one", nargs=2, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.plainly:
        return plainly(arguments.plainly)
    if arguments.ours:
        return ours(arguments.ours)
    if arguments.one:
        return one(Path(arguments.one[0]), arguments.one[1])
    figures: dict[str, float] = {}
    for section in SECTIONS:  # memory first: a child starts with the peak of its parent
        if section in arguments.only.split(","):
            with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
                figures |= globals()[section](Path(folder), arguments.size)
    show("bake", figures, as_json=arguments.json)
    return 0


def mixed(folder: Path, size: str) -> dict[str, float]:
    """Return the throughput of both ways over the same files."""
    for number in range(FILES[size]):
        kind = KINDS[number % len(KINDS)]
        first = folder / f"tile{number % len(KINDS):03}_{kind}"
        path = folder / f"tile{number:03}_{kind}"
        if path == first:
            write_texture(path, WIDTH, kind)
        else:
            shutil.copy(first, path)
    own = told("--ours", folder)
    plain = told("--plainly", folder)
    for number, kind in enumerate(KINDS):
        compare(folder, f"tile{number:03}_{kind}")
    count = FILES[size]
    return {
        "files": count,
        "throughput_ratio": plain["seconds"] / own["seconds"],
        "files_per_second": count / own["seconds"],
        "library_files_per_second": count / plain["seconds"],
        "peak_memory_mb": own["kilobytes"] / 1024,
        "library_peak_memory_mb": plain["kilobytes"] / 1024,
    }


def parts(folder: Path, _: str) -> dict[str, float]:
    """Return processor seconds of each step of one texture, on one thread."""
    oiio.attribute("threads", 1)
    oiio.attribute("exr_threads", 1)
    figures: dict[str, float] = {}
    for kind in KINDS:
        path, name = folder / f"tile_{kind}", kind.replace(".", "_")
        write_texture(path, WIDTH, kind)
        decode = cpu(lambda path=path: read_pixels(path))
        pixels = read_pixels(path)
        reading = READINGS[kind]
        step = cpu(lambda p=pixels, r=reading: in_bands(p, r))
        half = in_bands(pixels, reading)
        encode = cpu(lambda h=half: write_half(folder / "out.exr", h, "zip"))
        whole = cpu(lambda path=path: bake_one((path, folder / "whole.exr")))
        figures |= {
            f"decode_seconds_{name}": decode,
            f"convert_seconds_{name}": step,
            f"encode_seconds_{name}": encode,
            f"bake_cost_ratio_{name}": whole / (decode + step + encode),
        }
    for codec in ("none", "rle", "zips", "piz"):
        figures[f"encode_seconds_{codec}"] = cpu(
            lambda c=codec: write_half(folder / "out.exr", half, c)
        )
        figures[f"encoded_mb_{codec}"] = (folder / "out.exr").stat().st_size / 1e6
    figures["encode_seconds_zip"] = cpu(lambda: write_half(folder / "out.exr", half, "zip"))
    figures["deflate_seconds"] = figures["encode_seconds_zip"] - figures["encode_seconds_none"]
    figures["encoded_mb_zip"] = (folder / "out.exr").stat().st_size / 1e6
    return figures


def curves(folder: Path, size: str) -> dict[str, float]:
    """Return the cost of one more file and of one more pixel."""
    figures: dict[str, float] = {}
    write_texture(folder / "small_8.png", 512, "8.png")
    per_file = []
    count = 1
    engine = jobs.LocalEngine(jobs.cores())
    while count <= MOST_FILES[size]:
        items = [(folder / "small_8.png", folder / f"out{n}.exr") for n in range(count)]
        took = seconds(lambda items=items: list(engine.run(bake_one, items)))
        figures[f"seconds_{count}_files"] = took
        if count > 1:
            per_file.append((count, took))
        count *= 4
    (few, short), (many, long) = per_file[0], per_file[-1]
    figures["seconds_per_further_file"] = (long - short) / (many - few)
    per_pixel = []
    width = 1024
    while width <= LARGEST[size]:
        path = folder / f"wide{width}_8.png"
        write_texture(path, width, "8.png")
        took = cpu(lambda path=path: bake_one((path, folder / "wide.exr")))
        per_pixel.append(took / (width * width / 1e6))
        figures[f"seconds_per_megapixel_{width}"] = per_pixel[-1]
        path.unlink()
        width *= 2
    figures["linearity_ratio"] = max(per_pixel) / min(per_pixel)
    return figures


def memory(folder: Path, size: str) -> dict[str, float]:
    """Return the peak memory of one huge picture, without and with mip levels."""
    width = HUGE[size]
    path = folder / "huge_16.tif"
    write_texture(path, width, "16.tif")
    figures: dict[str, float] = {"huge_width": width, "huge_file_mb": path.stat().st_size / 2**20}
    for levels in ("no", "yes"):
        ran = told("--one", path, levels)
        figures[f"peak_memory_huge_mb_mips_{levels}"] = ran["kilobytes"] / 1024
        figures[f"seconds_huge_mips_{levels}"] = ran["seconds"]
    return figures


def write_texture(path: Path, width: int, kind: str) -> None:
    """Write a picture with soft shapes and grain, strip by strip."""
    stored = {"16.png": "uint16", "16.tif": "uint16", "half.exr": "half"}.get(kind, "uint8")
    spec = oiio.ImageSpec(width, width, 3, stored)
    if path.suffix == ".png":
        spec.attribute("oiio:ColorSpace", "data")
    spec.attribute("compression", {".jpg": "jpeg:95", ".exr": "zip"}.get(path.suffix, "zip"))
    target = oiio.ImageOutput.create(str(path))
    if target is None or not target.open(str(path), spec):
        raise SystemExit(f"{path}: {oiio.geterror()}")
    rng = np.random.default_rng(1)
    strip = 256
    grain = rng.normal(0.0, 0.02, (strip, width, 3)).astype(np.float32)
    across = np.sin(np.arange(width, dtype=np.float32) / 97)[None, :, None] / 6 + 0.5
    tint = np.array([1.0, 0.8, 0.6], np.float32)
    for first in range(0, width, strip):
        down = np.cos(np.arange(first, first + strip, dtype=np.float32) / 131)[:, None, None] / 6
        rows = np.clip((across + down) * tint + np.roll(grain, first * 7, axis=1), 0, 1)
        if not target.write_scanlines(first, first + strip, 0, np.ascontiguousarray(rows)):
            raise SystemExit(f"{path}: {target.geterror()}")
    if not target.close():
        raise SystemExit(f"{path}: {target.geterror()}")


def bake_one(item: tuple[Path, Path]) -> str:
    """Bake one texture our way."""
    source, target = item
    reading = READINGS[source.name.rpartition("_")[2]]
    with codec_threads(1):  # the other core works on another texture
        bake_picture(
            source,
            target,
            reading=reading,
            to_space=TARGET,
            config=DEFAULT_CONFIG,
            source_sha256="",
        )
    return target.name


def ours(folder: Path) -> int:
    """Bake every texture of a folder on all cores; tell time and memory."""
    items = [(path, folder / f"{path.name}.ours.exr") for path in sorted(folder.glob("tile*"))]
    engine = jobs.LocalEngine(jobs.cores())
    return tell(lambda: list(engine.run(bake_one, items)), many=jobs.cores())


def plainly(folder: Path) -> int:
    """Convert every texture of a folder by the library's own calls; tell time and memory."""
    paths = [p for p in sorted(folder.glob("tile*")) if not p.name.endswith(".ours.exr")]

    def work() -> None:
        for path in paths:
            picture = oiio.ImageBuf(str(path))
            picture.read(force=True, convert="float")
            done = oiio.ImageBufAlgo.colorconvert(
                picture,
                READINGS[path.name.rpartition("_")[2]],
                TARGET,
                unpremult=False,
                colorconfig=f"ocio://{DEFAULT_CONFIG}",
            )
            if done.has_error:
                raise SystemExit(done.geterror())
            done.set_write_format("half")
            done.specmod().attribute("compression", "zip")
            if not done.write(f"{path}.plain.exr"):
                raise SystemExit(done.geterror())

    return tell(work)


def one(path: Path, levels: str) -> int:
    """Bake one huge picture; tell time and memory."""

    def work() -> None:
        bake_picture(
            path,
            path.with_suffix(".exr"),
            reading="srgb_rec709_scene",
            to_space=TARGET,
            config=DEFAULT_CONFIG,
            source_sha256="",
            storage=Storage(levels="yes" if levels == "yes" else "no"),
        )

    return tell(work)


def compare(folder: Path, name: str) -> None:
    """Stop if the two ways do not agree within the rounding of half."""
    own, plain = (read_pixels(folder / f"{name}.{way}.exr") for way in ("ours", "plain"))
    a, b = own.astype(np.float32), plain.astype(np.float32)
    if not (np.abs(a - b) <= np.abs(a) * HALF_ROUNDING + 2.5e-5).all():
        raise SystemExit(f"{name}: the two ways differ by up to {np.abs(a - b).max()}")


def in_bands(pixels: np.ndarray, reading: str) -> np.ndarray:  # type: ignore[type-arg]
    """Convert pixels a band at a time, to half."""
    out = np.empty(pixels.shape, np.float16)
    for first in range(0, len(pixels), 256):
        rows = pixels[first : first + 256]
        out[first : first + 256] = convert_rows(rows, reading, TARGET)
    return out


def write_half(path: Path, pixels: np.ndarray, codec: str) -> None:  # type: ignore[type-arg]
    """Write an EXR with one codec."""
    write_pixels(path, pixels, attributes={"compression": codec})


def cpu(work: Callable[[], object]) -> float:
    """Return the processor seconds of some work in this process."""
    start = time.process_time()
    work()
    return time.process_time() - start


def tell(work: Callable[[], object], many: int = 0) -> int:
    """Print how long some work took and the peak memory of this process and its workers."""
    took = seconds(work)
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    each = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss  # of the largest child
    print(json.dumps({"seconds": took, "kilobytes": own + many * each}))
    return 0


def told(*words: object) -> dict[str, float]:
    """Run this file in a process of its own; return what it prints."""
    command = [sys.executable, __file__, *(str(word) for word in words)]
    ran = subprocess.run(command, stdout=subprocess.PIPE, check=True, text=True, env=os.environ)
    answer: dict[str, float] = json.loads(ran.stdout)
    return answer


if __name__ == "__main__":
    sys.exit(main())
