"""What all benchmarks share: how a piece of work is timed, and how figures are printed."""

from __future__ import annotations

import gc
import json
import time
from collections.abc import Callable, Mapping


def seconds(work: Callable[[], object]) -> float:
    """Return how long some work takes, with nothing left over from before."""
    gc.collect()
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def show(name: str, figures: Mapping[str, float], *, as_json: bool) -> None:
    """Print figures for people, or as one document."""
    if as_json:
        document = {"document": "primecoat.benchmark/1", "name": name, "figures": figures}
        print(json.dumps(document, indent=2))
        return
    for key, value in figures.items():
        print(f"{key:32} {value:.3f}" if isinstance(value, float) else f"{key:32} {value}")
