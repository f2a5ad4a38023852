"""Fit what the policy does not know by itself: ``python -m evaluation.fit [--folder DIR]``.

Writes ``src/primecoat/reading/pixel_model.toml``, and prints the other strengths that it measured,
with how many pictures speak for and against, for ``policy.toml``. Generated pictures (seed 1) and
the open ones of ``labels.csv``, also in one channel, are fitted on; the open ones of
``labels_held_out.csv`` never.
"""

from __future__ import annotations

import argparse
import math
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from evaluation import additive
from evaluation.cases import SIZES, Case
from evaluation.counts import measured_strengths
from evaluation.generated import generated_set, sheet_of
from evaluation.grey_copies import grey_copies
from evaluation.judging import Stock, take_stock
from evaluation.real import real_stock
from primecoat.errors import PrimecoatError
from primecoat.reading.pixel_facts import LAYOUTS, Layout, facts_of, layout_of

SEED = 1
TARGET = Path(__file__).parents[1] / "src" / "primecoat" / "reading" / "pixel_model.toml"

LIMITS: dict[Layout, float] = {"one": 3.0, "grey": 3.0, "colour": 4.0}
"""Greatest strength of the pixels by themselves, by layout: below ``settled`` (4.6), so that the
pixels alone settle nothing that is no normal map; less where the labelled pictures of the two
sources disagree most."""

MOST_FREQUENT = 2.2
"""Greatest log odds of a frequency, nine to one: the mix of the labelled pictures is nobody's
scene."""

_HEAVIEST = 4.0
"""An open picture counts as much as all generated ones together, but at most so much each."""

_HEAD = """\
# Colour or data by the pixels: written by `python -m evaluation.fit`, not by hand.
# For each layout: base and limit, the log odds of colour among the labelled pictures (frequency),
# and for each fact the points of its line: value, log likelihood ratio for colour.
"""


@dataclass(frozen=True, slots=True)
class Sample:
    """One labelled picture with its facts; a copy does not count for how often a kind is met."""

    case: Case
    layout: Layout
    facts: dict[str, float]
    real: bool
    copy: bool = False


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit, write, print."""
    parser = argparse.ArgumentParser(prog="evaluation.fit", description=__doc__.splitlines()[0])
    parser.add_argument("--folder", type=Path, help="keep pictures and measures here")
    parser.add_argument("--out", type=Path, default=TARGET, help="where to write the model")
    chosen = parser.parse_args(arguments)
    try:
        with tempfile.TemporaryDirectory(prefix="primecoat-evaluation-") as temporary:
            folder = chosen.folder or Path(temporary)
            cases = generated_set(folder / "generated", SIZES["full"], SEED)
            made = take_stock(sheet_of(folder / "generated"), cases, folder / "generated")
            real = real_stock(folder / "real", held_out=False)
            samples = [*_samples(made, real=False), *_samples(real, real=True)]
            samples += _copies(real, folder / "grey")
            chosen.out.write_text(_document(samples), encoding="utf-8", newline="\n")
            print(f"{chosen.out}: {len(samples)} pictures")
            print(measured_strengths((made, real)))
    except PrimecoatError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    return 0


def _samples(stock: Stock, *, real: bool) -> list[Sample]:
    root = stock.root.resolve()
    found = {file.resolve(): record for record in stock.inventory.images for file in record.files}
    samples = []
    for case in stock.cases:
        record = found.get(root / case.path)
        if record is None or record.header is None or record.statistics is None:
            continue
        if record.statistics.channels and record.statistics.sampled:
            layout = layout_of(record.statistics)
            facts = facts_of(record.header, record.statistics)
            samples.append(Sample(case, layout, facts, real))
    return samples


def _copies(stock: Stock, folder: Path) -> list[Sample]:
    return [
        Sample(case, layout_of(statistics), facts_of(header, statistics), real=True, copy=True)
        for case, header, statistics in grey_copies(stock, folder)
    ]


def _document(samples: Sequence[Sample]) -> str:
    parts = [_HEAD]
    for layout in LAYOUTS:
        chosen = [sample for sample in samples if sample.layout == layout]
        labels = np.array([float(sample.case.kind == "colour") for sample in chosen])
        weights = _weights_of(chosen)
        fitted = additive.fit([sample.facts for sample in chosen], labels, weights)
        share = float(np.average(labels, weights=weights))
        odds = math.log(share / (1.0 - share))
        met = np.array([not sample.copy for sample in chosen])
        share = float(np.average(labels[met], weights=weights[met]))
        often = math.log(share / (1.0 - share))
        frequency = max(-MOST_FREQUENT, min(MOST_FREQUENT, often))
        parts.append(
            f"\n[{layout}]\nbase = {fitted.base - odds:.4f}\nfrequency = {frequency:.4f}\n"
            f"limit = {LIMITS[layout]}\npictures = {len(chosen)}\n"
        )
        for name, knots in fitted.knots.items():
            line = fitted.parts[name]
            parts.append(
                f"\n[{layout}.facts.{name}]\nknots = [{_numbers(knots)}]\n"
                f"parts = [{_numbers(line)}]\n"
            )
    return "".join(parts)


def _weights_of(samples: Sequence[Sample]) -> np.ndarray:
    """Return how much each picture counts: the two sources alike, near-doubles less."""
    real = [sample for sample in samples if sample.real]
    made = len(samples) - len(real)
    packages = Counter(_package(sample) for sample in real)
    shares = {name: 1.0 / math.sqrt(count) for name, count in packages.items()}
    total = sum(shares[_package(sample)] for sample in real)
    return np.array(
        [
            min(_HEAVIEST, made * shares[_package(sample)] / total) if sample.real else 1.0
            for sample in samples
        ]
    )


def _package(sample: Sample) -> str:
    return sample.case.path.partition("/")[0]


def _numbers(values: np.ndarray) -> str:
    return ", ".join(f"{value:.4f}" for value in values)


if __name__ == "__main__":
    sys.exit(main())
