"""How right the readings are: ``python -m evaluation.reading [--size small|full] [--json]``.

Generated pictures with known answers, and with ``--real`` open pictures with labels, are read with
all witnesses and with some of them left unheard. Pictures in a wrong slot do not count. The
calibration error is of ten bins of equal width: of the probability of colour, over all pictures;
of the most probable exact reading, over those whose reading a true statement tells.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from evaluation import metrics
from evaluation.cases import SIZES
from evaluation.generated import generated_set, sheet_of
from evaluation.judging import MODES, Stock, judge, take_stock
from evaluation.metrics import Outcome
from evaluation.real import real_stock
from primecoat.errors import PrimecoatError
from primecoat.reading.policy import policy

KIND = "primecoat.evaluation/1"
SEED = 2
"""Other pictures than those that ``evaluation.fit`` fits on."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the evaluation and print its figures."""
    parser = argparse.ArgumentParser(prog="evaluation.reading", description=__doc__.splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small", help="how many are generated")
    parser.add_argument("--seed", type=int, default=SEED, help="another seed, other pictures")
    parser.add_argument("--real", action="store_true", help="read real pictures instead")
    parser.add_argument("--held-out", action="store_true", help="the real ones kept for the end")
    parser.add_argument("--folder", type=Path, help="keep pictures and measures here")
    parser.add_argument("--errors", type=int, default=20, metavar="N", help="list so many errors")
    parser.add_argument("--json", action="store_true", help="print one document")
    chosen = parser.parse_args(arguments)
    try:
        with tempfile.TemporaryDirectory(prefix="primecoat-evaluation-") as temporary:
            folder = chosen.folder or Path(temporary)
            if chosen.real or chosen.held_out:
                stock = real_stock(folder, held_out=chosen.held_out)
            else:
                cases = generated_set(folder, SIZES[chosen.size], chosen.seed)
                stock = take_stock(sheet_of(folder), cases, folder)
            document = evaluate(stock, chosen.errors)
    except PrimecoatError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    document |= {"size": chosen.size, "seed": chosen.seed, "real": chosen.real or chosen.held_out}
    if chosen.json:
        print(json.dumps(document, indent=2))
    else:
        print(as_text(document))
    return 0


def evaluate(stock: Stock, errors: int = 20) -> dict[str, Any]:
    """Return the document of an evaluation.

    Parameters
    ----------
    stock
        Labelled pictures, measured.
    errors
        How many of the worst errors to list for each mode.
    """
    likely = policy().weight("standing", "likely")
    modes = {}
    for mode in MODES:
        outcomes = judge(stock, mode)
        true = [o for o in outcomes if o.case.header != "lying"]
        wrong = metrics.settled_wrong(outcomes)
        untold = metrics.settled_untold(outcomes)
        modes[mode.name] = {
            "without": sorted(mode.without),
            "figures": asdict(metrics.figures(outcomes, likely)),
            "figures_true_headers": asdict(metrics.figures(true, likely)),
            "by_subject": metrics.by_subject(outcomes, likely),
            "by_space": [
                {"told": told, "read": read, "count": count}
                for (told, read), count in metrics.by_space(outcomes).items()
            ],
            "settled_wrong": [_entry(o) for o in wrong],
            "settled_untold": [_entry(o) for o in untold],
            "errors": [_entry(o) for o in metrics.worst(outcomes)[:errors]],
        }
    return {"document": KIND, "likely": likely, "modes": modes}


def _entry(outcome: Outcome) -> dict[str, Any]:
    case = outcome.case
    return {
        "path": case.path,
        "kind": case.kind,
        "space": case.space,
        "stored": case.stored,
        "subject": case.subject or case.content,
        "header": case.header,
        "statement": case.statement,
        "damage": case.damage,
        "read": outcome.reading,
        "standing": outcome.standing,
        "colour": round(outcome.colour, 4),
    }


def as_text(document: dict[str, Any]) -> str:
    """Return the document as tables for people."""
    modes = document["modes"]
    columns = (
        ("pictures", "count"), ("kind right", "kind_right"), ("undecided", "kind_undecided"),
        ("kind ECE", "kind_calibration"), ("told", "told"), ("exact right", "reading_right"),
        ("none given", "reading_unknown"), ("exact ECE", "reading_calibration"),
        ("colour told", "colour_told"), ("space right", "space_right"), ("unknown", "unknown"),
        ("settled", "settled"), ("settled wrong", "settled_wrong"),
        ("settled untold", "settled_untold"),
    )  # fmt: skip
    lines = []
    for title, key in (("All", "figures"), ("True header or none", "figures_true_headers")):
        lines += [title, f"{'':24}" + "".join(f"{name:>15}" for name, _ in columns)]
        for name, mode in modes.items():
            cells = [_shown(mode[key][field]) for _, field in columns]
            lines.append(f"{name:24}" + "".join(f"{cell:>15}" for cell in cells))
        lines.append("")
    for name in ("all witnesses", "without slots", "no scene"):
        lines.append(f"{name}: exact readings that a true statement tells, and what was read")
        misread = [e for e in modes[name]["by_space"] if e["told"] != e["read"]]
        lines += [f"  {e['told']:24}{e['read']:24}{e['count']:>6}" for e in misread[:20]] + [""]
    for name in ("all witnesses", "without slots and names", "pixels only"):
        lines += [f"{name}: read as colour, as data, undecided"]
        for subject, row in modes[name]["by_subject"].items():
            counts = "".join(f"{row[k]:>10}" for k in ("colour", "data", "undecided"))
            lines.append(f"  {subject:32}{counts}")
        lines.append("")
    for name, mode in modes.items():
        for title in ("settled_wrong", "settled_untold", "errors"):
            entries = mode[title]
            if entries:
                shown = entries[: max(10, len(mode["errors"]))]
                lines.append(f"{name}: {title.replace('_', ' ')} ({len(entries)})")
                lines += [
                    f"  {e['path']:58} {e['kind']:7}{e['subject']:16}{e['space']:20}"
                    f"read {e['read']:20}{e['standing']:12}colour {e['colour']:.3f}  "
                    f"{e['header']} {e['statement']} {e['damage']}"
                    for e in shown
                ]
    return "\n".join(lines)


def _shown(value: float | int | None) -> str:
    if value is None:
        return "-"
    return str(value) if isinstance(value, int) else f"{value:.4f}"


if __name__ == "__main__":
    sys.exit(main())
