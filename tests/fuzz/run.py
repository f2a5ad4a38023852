"""Fuzz every reader of bytes from anywhere: ``python -m tests.fuzz.run --minutes 10``.

With atheris (``pip install atheris``, on Linux and macOS; no part of the locked requirements,
since it has no wheels for Windows) the fuzzing is guided by the branches that were taken; without
it, bytes are changed blindly. Each reader runs in a process of its own, so that one that dies by
a signal is told too. An input that brings a reader down, or takes more than 2 s of CPU time, is
kept in ``tests/fuzz/found`` and read again by the tests from then on.
"""

from __future__ import annotations

import argparse
import datetime
import hashlib
import importlib
import importlib.util
import os
import re
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from tests.fuzz.slow import SLOW_SECONDS

ROOT = Path(__file__).parents[2]
FOUND = Path(__file__).parent / "found"


def guided(name: str, corpus: Path, seconds: float) -> None:
    """Fuzz one reader with atheris, in this process; never returns."""
    early = sorted(module for module in sys.modules if module.startswith("primecoat"))
    if early:
        sys.exit(f"ERROR imported before it could be guided: {early[0]}")
    atheris: Any = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["primecoat"]):
        from tests.fuzz.targets import TARGETS
    target = TARGETS[name]
    for number, seed in enumerate(target.seeds):
        (corpus / f"seed{number}").write_bytes(seed)
    words = corpus.parent / f"{name}.words"
    texts = ["".join(f"\\x{byte:02x}" for byte in word) for word in target.words]
    words.write_text("".join(f'"{text}"\n' for text in texts), encoding="ascii")
    options = [
        f"-max_total_time={int(seconds)}",
        "-timeout=60",  # of the clock; the CPU time is counted below
        "-rss_limit_mb=4096",
        "-max_len=8192",
        "-print_final_stats=1",
        f"-artifact_prefix={corpus.parent}/{name}-",
    ]
    if target.words:
        options.append(f"-dict={words}")

    def timed(data: bytes) -> None:
        signal.setitimer(signal.ITIMER_PROF, SLOW_SECONDS)
        target(data)
        signal.setitimer(signal.ITIMER_PROF, 0)

    def too_slow(*_: object) -> None:
        raise TimeoutError(f"took more than {SLOW_SECONDS} s of CPU time")

    signal.signal(signal.SIGPROF, too_slow)
    atheris.Setup([sys.argv[0], *options, str(corpus)], timed)
    atheris.Fuzz()


def blind(name: str, seconds: float, seed: int) -> None:
    """Fuzz one reader without atheris; print what the guided way prints."""
    from tests.fuzz.mutate import fuzz
    from tests.fuzz.targets import TARGETS

    tally = fuzz(TARGETS[name], seed=seed, seconds=seconds)
    print(f"stat::number_of_executed_units: {tally.executions}", file=sys.stderr)
    if tally.fault:
        print(f"==ERROR {tally.fault}", file=sys.stderr)
        kept = FOUND / f"{name}-{hashlib.sha256(tally.data).hexdigest()[:16]}"
        kept.write_bytes(tally.data)
        sys.exit(1)


def fuzz_one(name: str, seconds: float, seed: int, folder: Path) -> tuple[int, int, str]:
    """Fuzz one reader in a process; return executions, size of the corpus, and what broke."""
    corpus = folder / name
    corpus.mkdir(exist_ok=True)
    words = ["--one", name, "--seconds", str(seconds), "--seed", str(seed), "--corpus", str(corpus)]
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz.run", *words],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"},
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    counts = re.findall(r"(?:number_of_executed_units:|Done) +(\d+)", done.stderr)
    tried = re.findall(r"^#(\d+)\t", done.stderr, re.MULTILINE)
    count = max((int(n) for n in (*counts, *tried)), default=0)
    broke = ""
    for kept in folder.glob(f"{name}-*"):
        if kept.is_file():
            FOUND.mkdir(exist_ok=True)
            kept.rename(FOUND / f"{name}-{kept.name.rpartition('-')[2][:16]}")
    if done.returncode:
        lines = [line for line in done.stderr.splitlines() if "ERROR" in line or "Error" in line]
        broke = (lines or [f"ended with {done.returncode}"])[-1][:200]
    return count, sum(1 for _ in corpus.iterdir()), broke


def main() -> int:
    """Fuzz all readers by turns; print the figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--minutes", type=float, default=10.0, help="for all readers together")
    parser.add_argument("--only", action="append", help="reader; repeatable")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--blind", action="store_true", help="without atheris")
    parser.add_argument("--corpus", type=Path, help="folder that the corpus is kept in")
    parser.add_argument("--one", help=argparse.SUPPRESS)
    parser.add_argument("--seconds", type=float, default=10.0, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    with_atheris = importlib.util.find_spec("atheris") is not None and not asked.blind
    if asked.one:
        if with_atheris:
            guided(asked.one, asked.corpus, asked.seconds)
        blind(asked.one, asked.seconds, asked.seed)
        return 0
    from tests.fuzz.targets import TARGETS

    names = asked.only or list(TARGETS)
    print(f"{datetime.date.today().isoformat()}, {'atheris' if with_atheris else 'blind'}")
    total = corpus_size = faults = 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = asked.corpus or Path(scratch)
        folder.mkdir(exist_ok=True)
        for name in names:
            seconds = asked.minutes * 60 / len(names)
            count, size, broke = fuzz_one(name, seconds, asked.seed, folder)
            total, corpus_size, faults = total + count, corpus_size + size, faults + bool(broke)
            print(f"{name:20} {count:>10} executions  {size:>6} in the corpus  {broke}", flush=True)
    print(f"{total} executions, {corpus_size} in the corpus, {faults} readers brought down")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
