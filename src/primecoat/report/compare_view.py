"""Comparisons of renders as tables for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.images.encodings import WORDS
from primecoat.location import counted, printable
from primecoat.renders.figures import Channel, Comparison, Noise, Side
from primecoat.renders.frame import Frame
from primecoat.renders.histogram import Spread
from primecoat.renders.pairing import Through
from primecoat.report.figure_table import figure_table, named_rows

_FRAMES_SHOWN = 20


def compare_view(found: Comparison) -> RenderableType:
    """Return a comparison: what was compared, how it differs, then channels and shares."""
    pair, figures = found.pair, found.figures
    differences = [("CIEDE2000", figures.ciede2000)]
    if figures.delta_e_itp:
        differences.append(("ΔE ITP", figures.delta_e_itp))
    parts: list[RenderableType] = [
        named_rows(
            ("A", _input(found.a, pair.a, found.through[0])),
            ("B", _input(found.b, pair.b, found.through[1])),
            ("exposure", _exposure(found)),
        ),
        Text(""),
        _spreads("difference", differences, "{:.3f}"),
    ]
    if not found.same_view:
        parts.insert(1, Text(_ways(found)))
    if figures.scene and pair.linear:
        parts += [Text(""), _channels(f"scene-linear, {pair.linear}", figures.scene, stops=True)]
    codes = f"display codes, {pair.screen_id or pair.screen}"
    parts += [Text(""), _channels(codes, figures.codes, stops=False)]
    if figures.alpha:
        parts += [Text(""), _channels("alpha", [figures.alpha], stops=False)]
    parts += [Text(""), _sides(figures.a, figures.b)]
    if figures.not_finite_differs:
        pixels = counted(figures.not_finite_differs, "pixel")
        parts.append(Text(f"NaN or infinity in one picture only: {pixels}."))
    if found.noise:
        parts += [Text(""), _noise(found.noise)]
    if found.frames:
        parts += [Text(""), _frames(found)]
    for path in found.pictures:
        parts.append(Text(f"Written: {printable(path.as_posix())}"))
    parts.append(Text(f"Config {pair.config}."))
    return Group(*parts)


def _ways(found: Comparison) -> str:
    untold = [name for name, way in zip("AB", found.through, strict=True) if way is None]
    if not untold:
        return "A and B are seen in different ways: the figures hold both changes."
    return (
        f"Nobody tells which view {' and '.join(untold)} went through: the figures may hold a "
        "change of view."
    )


def _input(name: str, frame: Frame, through: Through | None) -> str:
    layer = f", layer {frame.layer}" if frame.layer else ""
    part = f", part {frame.part}" if frame.part else ""
    by = "" if frame.said_by == "person" else f" (says its {frame.said_by})"
    way = f", on {through.display} through {through.view}" if through else ""
    if through and frame.display_referred:
        way += " (says the manifest of its handover)"
    return printable(f"{name}{layer}{part}: {frame.space}{by}{way}")


def _exposure(found: Comparison) -> str:
    stops, spread = found.exposure_stops, found.figures.exposure
    which = "B is as bright as A"
    if abs(stops) >= 0.0005:
        which = "B is brighter" if stops > 0 else "B is darker"
    light = "light in the scene" if found.pair.linear else "light on the display"
    words = f"{stops:+.3f} stops ({which}), by {light}; 90 % of the pixels within "
    base = found.aligned or 0.0
    words += f"{base + spread.p5:+.3f} and {base + spread.p95:+.3f}"
    if found.aligned is not None:
        words += f"; figures below are of B brought {-found.aligned:+.3f} stops"
    return words


def _channels(title: str, channels: Sequence[Channel], *, stops: bool) -> Table:
    names = ["mean A", "mean B", "absolute mean", "95 %", "most"]
    table = figure_table(title, *names, *(["stops"] if stops else []))
    for channel in channels:
        spread = channel.absolute
        numbers = (channel.mean_a, channel.mean_b, spread.mean, spread.p95, spread.max)
        cells = [f"{number:.5f}" for number in numbers]
        if stops and channel.stops is not None:
            cells.append(f"{channel.stops:+.3f}")
        table.add_row(channel.name, *cells)
    return table


def _spreads(title: str, spreads: Sequence[tuple[str, Spread]], form: str) -> Table:
    table = figure_table(title, "mean", "median", "95 %", "99 %", "most")
    for name, spread in spreads:
        numbers = (spread.mean, spread.p50, spread.p95, spread.p99, spread.max)
        table.add_row(name, *(form.format(number) for number in numbers))
    return table


def _sides(a: Side, b: Side) -> Table:
    table = figure_table("share of pixels", "A", "B")
    rows = [
        ("below 0 in the picture's own space", a.negative, b.negative),
        ("at the limit of the stored type", a.stored_at_limit, b.stored_at_limit),
        ("NaN or infinite", a.not_finite, b.not_finite),
        ("a display code at 1 or above", a.at_white, b.at_white),
        ("a display code at 0 or below", a.at_black, b.at_black),
        ("a display code below 0 or above 1", a.outside_screen, b.outside_screen),
    ]
    rows += [(f"outside {WORDS[name]}", a.outside[name], b.outside[name]) for name in a.outside]
    for name, *shares in rows:
        table.add_row(name, *(f"{share:.2%}" for share in shares))
    return table


def _noise(noise: Noise) -> Group:
    spread = noise.figures.ciede2000
    return Group(
        Text(
            f"Noise, A against {printable(noise.path)}: CIEDE2000 mean {spread.mean:.3f}, "
            f"95 % {spread.p95:.3f}; exposure {noise.figures.exposure.median:+.4f} stops."
        ),
        Text(f"{noise.share_above:.2%} of the pixels differ more than 99 % of them do by noise."),
    )


def _frames(found: Comparison) -> Table:
    table = figure_table("frame", "stops", "CIEDE2000 mean", "95 %", "most")
    ordered = sorted(found.frames, key=lambda frame: -frame[1].ciede2000.mean)[:_FRAMES_SHOWN]
    for number, figures in sorted(ordered, key=lambda frame: frame[0]):
        spread = figures.ciede2000
        stops = (found.aligned or 0.0) + figures.exposure.median
        table.add_row(
            str(number),
            f"{stops:+.3f}",
            *(f"{v:.3f}" for v in (spread.mean, spread.p95, spread.max)),
        )
    if len(found.frames) > _FRAMES_SHOWN:
        table.caption = f"The {_FRAMES_SHOWN} of {len(found.frames)} frames that differ most."
    return table
