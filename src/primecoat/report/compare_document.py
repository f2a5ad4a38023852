"""Comparisons of renders as JSON documents."""

from __future__ import annotations

from typing import Any

from primecoat.documents import Document
from primecoat.renders.exposure import Stops
from primecoat.renders.figures import Channel, Comparison, Figures, Side
from primecoat.renders.frame import Frame
from primecoat.renders.histogram import Spread
from primecoat.renders.pairing import Pair, Through
from primecoat.report.versions import versions


def compare_document(found: Comparison) -> Document:
    """Return a comparison as ``primecoat.compare/1``."""
    pair = found.pair
    return {
        "document": "primecoat.compare/1",
        **versions(),
        "config": pair.config,
        "a": _input(found.a, pair.a, found.through[0]),
        "b": _input(found.b, pair.b, found.through[1]),
        "same_view": found.same_view,
        "display_space": pair.screen_id or pair.screen,
        "exposure_stops": found.exposure_stops,
        "exposure_of": "scene" if pair.linear else "display",
        "aligned_stops": found.aligned,
        **_figures(found.figures, pair),
        "noise": None
        if found.noise is None
        else {
            "path": found.noise.path,
            "share_above": found.noise.share_above,
            "exposure_stops": found.noise.figures.exposure.median,
            **_figures(found.noise.figures, pair),
        },
        "frames": [
            {
                "frame": number,
                "exposure_stops": (found.aligned or 0.0) + figures.exposure.median,
                "ciede2000": _spread(figures.ciede2000),
            }
            for number, figures in found.frames
        ],
        "pictures": [path.as_posix() for path in found.pictures],
    }


def _input(name: str, frame: Frame, through: Through | None) -> dict[str, Any]:
    return {
        "path": name,
        "width": frame.width,
        "height": frame.height,
        "layer": frame.layer,
        "part": frame.part,
        "alpha": frame.alpha,
        "stored": frame.stored,
        "space": frame.space,
        "space_said_by": frame.said_by,
        "display": through.display if through else None,
        "view": through.view if through else None,
    }


def _figures(figures: Figures, pair: Pair) -> dict[str, Any]:
    return {
        "pixels": figures.pixels,
        "not_finite_differs": figures.not_finite_differs,
        "exposure": _stops(figures.exposure),
        "ciede2000": _spread(figures.ciede2000),
        "delta_e_itp": _spread(figures.delta_e_itp) if figures.delta_e_itp else None,
        "scene": {
            "space": pair.linear,
            "channels": {channel.name: _channel(channel) for channel in figures.scene},
        }
        if pair.linear
        else None,
        "display_codes": {channel.name: _channel(channel) for channel in figures.codes},
        "alpha": _channel(figures.alpha) if figures.alpha else None,
        "shares": {"a": _side(figures.a), "b": _side(figures.b)},
    }


def _channel(channel: Channel) -> dict[str, Any]:
    found: dict[str, Any] = {
        "mean_a": channel.mean_a,
        "mean_b": channel.mean_b,
        "mean_difference": channel.mean_difference,
        "rms": channel.rms,
        "absolute": _spread(channel.absolute),
    }
    return found if channel.stops is None else {**found, "stops": channel.stops}


def _side(side: Side) -> dict[str, Any]:
    return {
        "not_finite": side.not_finite,
        "stored_at_limit": side.stored_at_limit,
        "negative": side.negative,
        "at_white": side.at_white,
        "at_black": side.at_black,
        "outside_display": side.outside_screen,
        "outside_gamut": dict(side.outside),
    }


def _stops(stops: Stops) -> dict[str, Any]:
    return {"median": stops.median, "p5": stops.p5, "p95": stops.p95, "pixels": stops.pixels}


def _spread(spread: Spread) -> dict[str, float]:
    return {
        "mean": spread.mean,
        "p50": spread.p50,
        "p95": spread.p95,
        "p99": spread.p99,
        "max": spread.max,
    }
