"""Swatches and re-expressed gains as tables for a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.colour.albedo import DARKEST, LIGHTEST
from primecoat.colour.products import Residual
from primecoat.colour.seen import Seen, Sought, codes_of
from primecoat.colour.swatch import REC709, Swatch
from primecoat.colour.temperature import FARTHEST
from primecoat.colour.white_balance import MovedGains
from primecoat.report.figure_table import named_rows
from primecoat.report.swatch_document import hex_of, to_copy

_ALBEDO = {
    "plausible": f"plausible: between {DARKEST:g} and {LIGHTEST:g}",
    "too dark": f"too dark: below {DARKEST:g}, darker than coal",
    "too light": f"too light: above {LIGHTEST:g}, or a channel above 1",
    "no surface": "no surface has it: a channel is negative in the working space",
}


def swatch_view(swatch: Swatch) -> RenderableType:
    """Return a swatch as a table of spaces, then what can be said of the colour."""
    spaces = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("space", "numbers", "hex", "8 bits"):
        spaces.add_column(name, no_wrap=True)
    for found in swatch.spaces:
        codes = found.codes
        spaces.add_row(
            found.space,
            to_copy(found.rgb),
            hex_of(codes) if codes else "",
            " ".join(map(str, codes)) if codes else "",
        )
    gamuts = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("primaries", "can make it", "CIEDE2000 to the nearest"):
        gamuts.add_column(name, no_wrap=True)
    for gamut in swatch.gamuts:
        gamuts.add_row(
            gamut.primaries,
            "yes" if gamut.inside else "no",
            "" if gamut.inside else f"{gamut.difference:.2f}",
        )
    parts: list[RenderableType] = []
    if swatch.sought:
        parts += [_sought_view(swatch.sought), Text("")]
    elif swatch.seen:
        parts += [_seen_line(swatch.seen), Text("")]
    parts += [spaces, Text(""), _facts(swatch), Text(""), gamuts, Text(""), _copies(swatch)]
    parts += [Text(f"Config {swatch.config}.")]
    return Group(*parts)


def gains_view(moved: MovedGains, config: str) -> RenderableType:
    """Return re-expressed gains: the matrix, and three numbers with what they leave over."""
    matrix = Table.grid(padding=(0, 2))
    for row in moved.matrix:
        matrix.add_row(*(f"{value: .6f}" for value in row))
    return Group(
        Text(f"Gains {to_copy(moved.gains)} of {moved.source} are in {moved.target}, exactly:"),
        matrix,
        Text("As three numbers, with what is left over (median, 95 %, most):"),
        named_rows(
            ("best", f"{to_copy(moved.best.gains)}   {_left(moved.best.residual)}"),
            (
                "greys kept",
                f"{to_copy(moved.as_colour)}   {_left(moved.as_colour_residual)}",
            ),
        ),
        Text(f"Config {config}."),
    )


def _facts(swatch: Swatch) -> Table:
    warmth = swatch.temperature
    if warmth is None:
        words = "none: it is black, or gives no light that could be told"
    elif warmth.kelvin is None and abs(warmth.duv) > FARTHEST:
        words = f"none: Duv {warmth.duv:+.4f} is farther than {FARTHEST:g} from a black body"
    elif warmth.kelvin is None:
        words = f"none from 1000 to 25000 K; Duv to the nearer end {warmth.duv:+.4f}"
    else:
        words = f"{warmth.kelvin:.0f} K, Duv {warmth.duv:+.4f}"
    return named_rows(
        ("XYZ (D65)", to_copy(swatch.xyz)),
        ("xy", f"{swatch.xy[0]:.4f}, {swatch.xy[1]:.4f}" if swatch.xy else "none"),
        ("temperature", words),
        ("as albedo", f"{_ALBEDO[swatch.albedo]} (luminance {swatch.xyz[1]:.4f})"),
    )


def _copies(swatch: Swatch) -> Table:
    spaces = dict.fromkeys((swatch.working, REC709))
    return named_rows(*((f"for {space}", to_copy(swatch.numbers(space))) for space in spaces))


def _sought_view(sought: Sought) -> Table:
    why = sought.why_no_surface
    return named_rows(
        ("wanted", hex_of(codes_of(sought.wanted))),
        ("reachable", "yes" if sought.reachable else "no; what follows is the nearest"),
        ("shown", _seen_line(sought.seen)),
        ("CIEDE2000 left", f"{sought.residual:.2f}"),
        ("emissive, unlit", "yes, with the numbers below"),
        ("reflectance", f"no: {why}" if why else "yes, where it is lit by light of 1"),
    )


def _seen_line(seen: Seen) -> Text:
    codes = " ".join(map(str, seen.codes))
    return Text(f"{hex_of(seen.codes)} ({codes}) on {seen.display} through {seen.view}")


def _left(residual: Residual) -> str:
    return f"{residual.median:.1%}, {residual.p95:.1%}, {residual.maximum:.0%}"
