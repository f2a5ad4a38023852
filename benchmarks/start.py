"""Benchmark of the start: what help, completion and a small verb cost before any work is done.

``python benchmarks/start.py [--size small|full] [--json]``

Processor time of whole processes, user and system, those that they start with them; the median
of 5 (small) or 15 (full) runs of each, taken in turns. A ``cost_ratio`` is to a process that only
imports the library that parses the command line.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from _figures import show

from primecoat import demo

RUNS = {"small": 5, "full": 15}
_PARSER = "parser"


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=RUNS, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
        demo(Path(folder) / "tea")
        spent = measure(Path(folder) / "tea" / "tea.gltf", RUNS[arguments.size])
    figures: dict[str, float] = {f"cpu_ms_{name}": 1000 * spent[name] for name in spent}
    for name, seconds in spent.items():
        if name != _PARSER:
            figures[f"{name}_cost_ratio"] = seconds / spent[_PARSER]
    show("start", figures, as_json=arguments.json)
    return 0


def measure(scene: Path, runs: int) -> dict[str, float]:
    """Return the seconds of processor time of each thing that is asked for, by name."""
    program = ["-m", "primecoat"]
    asked: dict[str, tuple[Sequence[str], Mapping[str, str]]] = {
        _PARSER: (["-c", "import typer"], {}),
        "version": ([*program, "--version"], {}),
        "help": ([*program, "--help"], {}),
        "wrong_option": ([*program, "survey", "--glaze"], {}),
        "tab_verb": (program, _tab("primecoat surv")),
        "tab_option": (program, _tab("primecoat plan --rou")),
        "tab_value": (program, _tab("primecoat match a b --up-to e")),
        "swatch": ([*program, "swatch", "#b5651d"], {}),
        "survey_again": ([*program, "survey", str(scene)], {}),
    }
    processor_seconds(*asked["survey_again"])  # measures are kept, and code is compiled
    spent: dict[str, list[float]] = {name: [] for name in asked}
    for _ in range(runs):
        for name, (words, variables) in asked.items():
            spent[name].append(processor_seconds(words, variables))
    return {name: statistics.median(found) for name, found in spent.items()}


def _tab(line: str) -> dict[str, str]:
    """Return what bash tells the program when Tab is pressed behind a line."""
    return {
        "_PRIMECOAT_COMPLETE": "complete_bash",
        "COMP_WORDS": line,
        "COMP_CWORD": str(len(line.split(" ")) - 1),
    }


def processor_seconds(words: Sequence[str], variables: Mapping[str, str]) -> float:
    """Return what one run of Python costs."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *words],
        env={**os.environ, **variables},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=False,  # some of it is wrong use
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


if __name__ == "__main__":
    sys.exit(main())
