"""Judged corrections as a table, then one by one with reasons and the probe's curve."""

from __future__ import annotations

import numpy as np
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from primecoat.location import printable
from primecoat.renders.corrections.judge import Judged, JudgedChain
from primecoat.renders.corrections.model import Correction
from primecoat.renders.corrections.probe import CURVE_STOPS, Probe
from primecoat.renders.corrections.reasons import stops_gained
from primecoat.renders.corrections.restate import Restated
from primecoat.report.plot import plot

_STYLES = {"may stay": "", "must go": "bold", "belongs after the view": "italic"}


def corrections_view(judged: JudgedChain) -> RenderableType:
    """Return judged corrections for a terminal."""
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    table.add_column("", justify="right", no_wrap=True)
    table.add_column("correction", overflow="fold")
    table.add_column("works in", overflow="fold")
    table.add_column("is", overflow="fold")
    table.add_column("verdict", no_wrap=True)
    for number, one in enumerate(judged.each, 1):
        table.add_row(
            str(number),
            Text(printable(one.correction.name)),
            _spaces(one.correction),
            one.what,
            Text(one.verdict, style=_STYLES[one.verdict]),
        )
    parts: list[RenderableType] = [table]
    for number, one in enumerate(judged.each, 1):
        parts += [Text(""), *_one(f"{number}. {one.correction.name}", one)]
    if len(judged.each) > 1:
        parts += [Text(""), *_one(f"As a whole ({judged.whole.correction.name})", judged.whole)]
    parts += [Text(""), Text(f"To {judged.target}; config {judged.chain.config}.")]
    return Group(*parts)


def _one(title: str, judged: Judged) -> list[RenderableType]:
    head = Text(f"{printable(title)}: ", style="bold")
    head.append(judged.verdict, style="bold")
    lines: list[RenderableType] = [head, *(_indented(words) for words in judged.reasons)]
    if judged.probe is not None and judged.what not in ("nothing", "change of space"):
        lines += [Text(line) for line in _stops_plot(judged.probe)]
    if judged.codes is not None:
        label = {
            "codes": "display code in (codes out upwards)",
            "stops": "stops from mid-grey (codes out upwards)",
        }[judged.codes.by]
        every = 2 if judged.codes.by == "stops" else 1
        lines += [
            Text(line)
            for line in plot(
                judged.codes.given[::every],
                np.array(judged.codes.after)[::every],
                least_span=1.0,
                limits=(-1.0, 2.0),
                label=label,
            )
        ]
    if judged.restated is not None and judged.what not in ("nothing", "change of space"):
        lines += _restated("Put in its place", judged.restated)
    if judged.instead is not None:
        lines += _restated("Without the clip", judged.instead)
    return lines


def _stops_plot(found: Probe) -> list[str]:
    return plot(
        CURVE_STOPS[::2].tolist(),
        stops_gained(found)[::2],
        least_span=1.0,
        limits=(-12.0, 12.0),
        label="stops from mid-grey (stops gained upwards; level: a gain)",
    )


def _restated(title: str, restated: Restated) -> list[RenderableType]:
    if restated.stops is not None:
        return [_indented(f"{title}: exposure {restated.stops:+.3f} stops, in every space.")]
    matrix = Table.grid(padding=(0, 2))
    for row in restated.matrix:
        matrix.add_row(*(f"{value: .6f}" for value in row))
    gains = ", ".join(f"{gain:.4f}" for gain in restated.gains)
    left = restated.residual
    return [
        _indented(f"{title}, in {restated.space}, exactly:"),
        Padding(matrix, (0, 0, 0, 8), expand=False),
        _indented(
            f"or, as three gains: {gains}, leaving {left.median:.1%} (median), {left.p95:.1%} "
            f"(95 %), {left.maximum:.0%} (most) over."
        ),
    ]


def _spaces(correction: Correction) -> str:
    if correction.gives == correction.works_in:
        return correction.works_in
    return f"{correction.works_in}, gives {correction.gives}"


def _indented(words: str) -> Padding:
    return Padding(Text(printable(words)), (0, 0, 0, 4), expand=False)
