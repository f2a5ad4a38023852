"""Benchmark of the light-path picture, against bare calls of the ray library.

``python benchmarks/proof.py [--size small|full] [--json]``

The demo's tea table is traced on one core. Every ray that a picture sends is kept, and sent again
at the same triangles by the library's own call and nothing else: ``rays_cost_ratio`` is the
processor time of the picture over that of the bare calls, of the same rays in the same run; rays
per second are per second of one core.
``seconds_per_megapath...``: processor seconds for a million paths, by height of a square picture
(``_pixels_N``), paths a pixel (``_samples_N``), bands of the spectrum (``_bands_N``) and materials
(``_materials_N``, the same triangles; the last is the demo as it is).
*proof*: seconds, and processor seconds, of a whole proof with its causes on all cores (full: 512 x
512, 16 paths a pixel), and the noise that is left, in mean CIEDE2000.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from _figures import show

from primecoat import jobs, workflow
from primecoat.demo import write_demo
from primecoat.proof.paths import carried, met, trace
from primecoat.proof.paths.model import Stage
from primecoat.proof.paths.picture import render
from primecoat.proof.paths.proof import source_of
from primecoat.proof.paths.rays import Triangles
from primecoat.proof.paths.scenario import explicit
from primecoat.proof.paths.spectral_basis import SpectralBasis, spectral_basis

SIZES = {"small": (96, 8, (128, 72)), "full": (256, 16, (512, 512))}
BANDS = (9, 36, 72)
ALONE = jobs.Workplace(workers=1)


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    pixels, samples, whole = SIZES[arguments.size]
    figures: dict[str, float] = {"pixels": pixels * pixels, "samples": samples}
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as name:
        scene = Path(name) / "tea" / "tea.gltf"
        write_demo(scene.parent)
        stage = stage_of(scene)
        cost(stage, 32, 8)  # what is made once is made
        figures |= against_bare_calls(stage, pixels, samples)
        for height in (pixels // 2, pixels, pixels * 2):
            figures[f"seconds_per_megapath_pixels_{height}"] = cost(stage, height, samples)
        for each in (8, 16, 32):
            figures[f"seconds_per_megapath_samples_{each}"] = cost(stage, pixels, each)
        for bands in BANDS:
            with bands_of(bands):
                figures[f"seconds_per_megapath_bands_{bands}"] = cost(stage, pixels, samples)
        for count in (1, 4, len({mesh.surface.name for mesh in stage.meshes})):
            figures[f"seconds_per_megapath_materials_{count}"] = cost(
                with_materials(stage, count), pixels, samples
            )
        figures |= proof(scene, whole)
    show("proof", figures, as_json=arguments.json)
    return 0


def stage_of(scene: Path) -> Stage:
    """Return the demo as it must be read."""
    survey = workflow.survey(scene)
    return source_of(survey).stage(explicit(survey))


def against_bare_calls(stage: Stage, pixels: int, samples: int) -> dict[str, float]:
    """Return rays per second of a picture, and of the library's own calls with the same rays."""
    kept = Kept()
    with kept:
        render(stage, (pixels, pixels), samples=samples, workplace=ALONE)
    ours = processor_seconds(
        lambda: render(stage, (pixels, pixels), samples=samples, workplace=ALONE)
    )
    bare = processor_seconds(kept.send_again)
    return {
        "rays": kept.rays,
        "rays_per_second": kept.rays / ours,
        "bare_rays_per_second": kept.rays / bare,
        "rays_cost_ratio": ours / bare,
    }


def processor_seconds(work: Callable[[], object]) -> float:
    """Return what some work takes, whatever else the machine does."""
    start = time.process_time()
    work()
    return time.process_time() - start


class Kept:
    """Keeps the rays that are sent while it is open."""

    def __init__(self) -> None:
        self.calls: list[tuple[Any, Sequence[Any], dict[str, Any]]] = []
        self.rays = 0

    def __enter__(self) -> Kept:
        """Listen to the door of the ray library."""
        self._first, self._blocked = Triangles.first, Triangles.blocked
        first, blocked = self._first, self._blocked

        def keep_first(one: Triangles, origins: Any, ways: Any) -> Any:
            self._keep(one, (origins, ways), {"output": True})
            return first(one, origins, ways)

        def keep_blocked(one: Triangles, origins: Any, ways: Any, reach: Any) -> Any:
            self._keep(one, (origins, ways), {"dists": reach, "query": "OCCLUDED"})
            return blocked(one, origins, ways, reach)

        Triangles.first, Triangles.blocked = keep_first, keep_blocked  # type: ignore[method-assign]
        return self

    def __exit__(self, *_: object) -> None:
        """Listen no more."""
        Triangles.first, Triangles.blocked = self._first, self._blocked  # type: ignore[method-assign]

    def _keep(self, one: Triangles, rays: Sequence[Any], options: dict[str, Any]) -> None:
        self.calls.append((one._scene, [np.array(part) for part in rays], dict(options)))
        self.rays += len(rays[0])

    def send_again(self) -> None:
        """Send all of them by the library's own call."""
        for scene, rays, options in self.calls:
            scene.run(*rays, **options)


def cost(stage: Stage, pixels: int, samples: int) -> float:
    """Return processor seconds for a million paths."""
    taken = processor_seconds(
        lambda: render(stage, (pixels, pixels), samples=samples, workplace=ALONE)
    )
    return taken / (pixels * pixels * samples) * 1e6


@contextmanager
def bands_of(count: int) -> Iterator[None]:
    """Carry so many bands while the block runs: some of the usual ones, or each more than once."""
    usual = spectral_basis()
    rows = np.arange(count) * len(usual.wavelengths) // count
    try:
        _carry(
            SpectralBasis(
                wavelengths=usual.wavelengths[rows],
                reflectance=usual.reflectance[rows],
                daylight=usual.daylight[rows],
                to_xyz=usual.to_xyz[:, rows],
            )
        )
        yield
    finally:
        _carry(usual)


def _carry(basis: SpectralBasis) -> None:
    count = len(basis.wavelengths)
    carried.spectral_basis = lambda: basis
    carried._matrices.cache_clear()
    carried._SLICES["spectral"] = slice(6, 6 + count)
    for module in (carried, met, trace):
        module.CHANNELS = 6 + count


def with_materials(stage: Stage, count: int) -> Stage:
    """Return a stage with so many of its materials, given to its meshes by turns."""
    surfaces = list({mesh.surface.name: mesh.surface for mesh in stage.meshes}.values())
    if count == len(surfaces):
        return stage
    meshes = [
        replace(mesh, surface=surfaces[number % count]) for number, mesh in enumerate(stage.meshes)
    ]
    return replace(stage, meshes=tuple(meshes))


def proof(scene: Path, size: tuple[int, int]) -> dict[str, float]:
    """Return what a whole proof takes, and how sure it is."""
    survey = workflow.survey(scene)
    before = _of_all_processes()
    start = time.perf_counter()
    found = workflow.proof(survey, size=size, samples=16)
    seconds = time.perf_counter() - start
    return {
        "proof_width": size[0],
        "proof_height": size[1],
        "proof_samples": found.new.samples,
        "proof_seconds": seconds,
        "proof_processor_seconds": _of_all_processes() - before,
        "proof_noise": found.noise,
        "proof_change": found.change.value,
        "proof_causes_noise": found.causes.noise if found.causes else 0.0,
        "peak_memory_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "peak_memory_worker_mb": resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024,
    }


def _of_all_processes() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


if __name__ == "__main__":
    sys.exit(main())
