"""A matched look as tables for a terminal."""

from __future__ import annotations

from typing import Final

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.colour.ocio import is_built_in
from primecoat.location import printable
from primecoat.renders.match.adjustment import LUMA, SPACE
from primecoat.renders.match.files import WrittenLook
from primecoat.renders.match.look import WORTH
from primecoat.renders.match.model import Match
from primecoat.renders.match.steps import Step
from primecoat.report.figure_table import figure_table

_FRAMES_SHOWN = 20
_CLOSE_MEAN, _CLOSE_95 = 1.0, 2.5
"""CIEDE2000 up to which a match is called close: about what an eye just tells apart, and what it
lets pass side by side (common practice, no source)."""

_BETTERS: Final = "betters by much (the mean by 0.1, or a tenth, and 95 % no worse by as much)"

_UNTOLD: Final[dict[Step, str]] = {
    "contrast": "all in the new one is about equally bright",
    "saturation": "all in the new one is about grey",
}


def match_view(found: Match, written: tuple[WrittenLook, ...]) -> RenderableType:
    """Return a match: what it takes, step by step, what is left, and the numbers to type."""
    parts: list[RenderableType] = [Text(line) for line in _seen(found)]
    parts += [Text(""), _steps(found), Text("")]
    parts += [Text(line) for line in _said(found)]
    parts += [Text(""), *(Text(line) for line in _to_type(found))]
    if found.frames:
        parts += [Text(""), _frames(found)]
    parts += [Text(f"Written: {_written(one)}") for one in written]
    if written and not is_built_in(found.sight.pair.config):
        parts.append(
            Text("No config was written: one with the look is made from a built-in config only.")
        )
    parts.append(Text(f"Config {found.sight.pair.config}."))
    return Group(*parts)


def _seen(found: Match) -> list[str]:
    sight, pair = found.sight, found.sight.pair
    through = f", through {sight.corrections.chain.path}" if sight.corrections else ""
    view = "" if sight.old_needs_no_view else f", {pair.seen_a.view} on {pair.seen_a.display}"
    return [
        printable(f"old  {found.old}: {pair.a.space}{through}{view}"),
        printable(f"new  {found.new}: {pair.b.space}, {pair.seen_b.view} on {pair.seen_b.display}"),
    ]


def _steps(found: Match) -> Table:
    table = figure_table(
        "step", "stops", "contrast", "saturation", "mean", "95 %", "pixels", "95 %"
    )
    for one in found.steps:
        adjustment, residual = one.adjustment, one.residual
        stops, contrast = adjustment.at_grey
        mark = " *" if one.step == found.chosen else ""
        figures = (residual.mean, residual.p95, residual.pixels_mean, residual.pixels_p95)
        table.add_row(
            f"{one.step}{mark}",
            f"{round(stops, 3) + 0.0:+.3f}",
            f"{contrast:.3f}",
            f"{adjustment.saturation:.3f}",
            *(f"{figure:.2f}" for figure in figures),
        )
    return table


def _said(found: Match) -> list[str]:
    residual = found.result.residual
    lines = [
        f"What is left is CIEDE2000: of blocks of {found.side} x {found.side} pixels, in which "
        "noise averages out, and of single pixels.",
        f"* {found.chosen} "
        + (
            f"is the simplest step that none after it {_BETTERS}."
            if found.chosen == found.recommended
            else f"is taken as you said; {found.recommended} is the simplest that none after it "
            f"{_BETTERS}."
        ),
    ]
    lines += [
        f"{one.step} would leave less on the mean ({one.residual.mean:.2f}), and more at 95 % "
        f"({one.residual.p95:.2f})."
        for one in found.steps
        if one.residual.mean < residual.mean - WORTH and one.residual.p95 > residual.p95 + WORTH
    ]
    lines += [
        f"These pictures cannot tell {step}, which is left alone: {_UNTOLD[step]}."
        for step in found.untold
    ]
    if residual.mean > _CLOSE_MEAN or residual.p95 > _CLOSE_95:
        lines.append(
            f"These numbers do not give the old look back: {residual.mean:.2f} is left on the "
            f"mean, {residual.p95:.2f} at 95 % (close is {_CLOSE_MEAN:g} and {_CLOSE_95:g}). What "
            "bends single colours or highlights cannot be said by them"
            + (", nor can noise." if residual.pixels_mean > 2 * residual.mean else ".")
        )
    return lines


def _to_type(found: Match) -> list[str]:
    adjustment = found.result.adjustment
    cdl = adjustment.cdl
    stops = round(adjustment.stops, 4) + 0.0  # no -0
    luma = ", ".join(f"{weight:g}" for weight in LUMA)
    triples = [
        (name, " ".join(f"{value:.7f}" for value in triple))
        for name, triple in (("slope", cdl.slope), ("offset", cdl.offset), ("power", cdl.power))
    ]
    cdl_lines = [
        *(f"  {name:<10}  {numbers}" for name, numbers in triples),
        f"  saturation  {cdl.saturation:.7f}, luma {luma}",
    ]
    if found.chosen == "channels":
        return [
            f"To type, before the view, in {SPACE} without clamping, as a CDL (no three numbers "
            "alone say it):",
            *cdl_lines,
        ]
    return [
        f"To type, before the view, in {SPACE} without clamping:",
        f"  exposure    {stops:+.4f} stops (light times {2.0**adjustment.stops:.5f})",
        f"  contrast    {adjustment.contrast:.4f} about mid-grey, 0.18",
        f"  saturation  {adjustment.saturation:.4f}, luma {luma}",
        "or all as one CDL:",
        *cdl_lines,
    ]


def _written(one: WrittenLook) -> str:
    left = "" if one.left is None else f" (read back: {one.left[0]:.2f}, {one.left[1]:.2f} left)"
    return printable(f"{one.path.as_posix()}{left}")


def _frames(found: Match) -> Table:
    table = figure_table("frame", "mean", "95 %", "pixels", "95 %")
    worst = sorted(found.frames, key=lambda frame: -frame[1].mean)[:_FRAMES_SHOWN]
    for number, one in sorted(worst):
        figures = (one.mean, one.p95, one.pixels_mean, one.pixels_p95)
        table.add_row(str(number), *(f"{figure:.2f}" for figure in figures))
    if len(found.frames) > _FRAMES_SHOWN:
        table.caption = f"The {_FRAMES_SHOWN} of {len(found.frames)} frames with most left."
    return table
