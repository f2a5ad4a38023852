"""A matched look as a JSON document."""

from __future__ import annotations

from typing import Any

from primecoat.documents import Document
from primecoat.renders.frame import Frame
from primecoat.renders.match.adjustment import LUMA, SPACE, Adjustment
from primecoat.renders.match.files import WrittenLook
from primecoat.renders.match.model import Match, Residual
from primecoat.report.versions import versions


def match_document(found: Match, written: tuple[WrittenLook, ...]) -> Document:
    """Return a match as ``primecoat.match/1``."""
    sight, pair = found.sight, found.sight.pair
    return {
        "document": "primecoat.match/1",
        **versions(),
        "config": pair.config,
        "old": {
            **_input(found.old, pair.a),
            "corrections": None if sight.corrections is None else str(sight.corrections.chain.path),
            "display": None if sight.old_needs_no_view else pair.seen_a.display,
            "view": None if sight.old_needs_no_view else pair.seen_a.view,
        },
        "new": {
            **_input(found.new, pair.b),
            "display": pair.seen_b.display,
            "view": pair.seen_b.view,
        },
        **_numbers(found.result.adjustment),
        "residual": _residual(found.result.residual),
        "step": found.chosen,
        "recommended": found.recommended,
        "steps": [
            {
                "step": one.step,
                **_numbers(one.adjustment),
                "residual": _residual(one.residual),
            }
            for one in found.steps
        ],
        "acts_on": SPACE,
        "clamps": False,
        "luma_weights": LUMA,
        "block": found.side,
        "left_out": found.left_out,
        "frames": [
            {"frame": number, "residual": _residual(residual)} for number, residual in found.frames
        ],
        "untold": list(found.untold),
        "files": [one.path.as_posix() for one in written],
        "read_back": [
            {"path": one.path.as_posix(), "pixels_mean": one.left[0], "pixels_p95": one.left[1]}
            for one in written
            if one.left is not None
        ],
    }


def _input(name: str, frame: Frame) -> dict[str, Any]:
    return {
        "path": name,
        "width": frame.width,
        "height": frame.height,
        "space": frame.space,
        "space_said_by": frame.said_by,
    }


def _numbers(adjustment: Adjustment) -> dict[str, Any]:
    cdl = adjustment.cdl
    stops, contrast = adjustment.at_grey
    return {
        "exposure_stops": stops,
        "exposure_gain": 2.0**stops,
        "contrast": contrast,
        "saturation": adjustment.saturation,
        "cdl": {
            "slope": cdl.slope,
            "offset": cdl.offset,
            "power": cdl.power,
            "saturation": cdl.saturation,
        },
    }


def _residual(residual: Residual) -> dict[str, float]:
    return {
        "mean": residual.mean,
        "p95": residual.p95,
        "pixels_mean": residual.pixels_mean,
        "pixels_p95": residual.pixels_p95,
    }
