"""Judged corrections as a JSON document."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from primecoat.colour.products import REFLECTANCES, Residual
from primecoat.documents import Document
from primecoat.renders.corrections.judge import Judged, JudgedChain
from primecoat.renders.corrections.light import GREY
from primecoat.renders.corrections.probe import CURVE_STOPS, TOLERANCE, WHITE, Probe
from primecoat.renders.corrections.restate import Restated
from primecoat.report.versions import versions


def corrections_document(judged: JudgedChain) -> Document:
    """Return judged corrections as ``primecoat.corrections/1``."""
    return {
        "document": "primecoat.corrections/1",
        **versions(),
        "config": judged.chain.config,
        "file": judged.chain.path.as_posix(),
        "to": judged.target,
        "thresholds": {"deviation": TOLERANCE, "light": WHITE},
        "over": REFLECTANCES,
        "corrections": [_judged(one) for one in judged.each],
        "whole": _judged(judged.whole),
    }


def _judged(one: Judged) -> dict[str, Any]:
    correction = one.correction
    return {
        "name": correction.name,
        "works_in": correction.works_in,
        "gives": correction.gives,
        "clamp": correction.clamp,
        "is": one.what,
        "verdict": one.verdict,
        "reasons": list(one.reasons),
        "probe": _probe(one.probe) if one.probe else None,
        "codes": {
            "by": one.codes.by,
            "in": list(one.codes.given),
            "out": [_numbers(row) for row in one.codes.after],
        }
        if one.codes
        else None,
        "restated": _restated(one.restated) if one.restated else None,
        "instead": _restated(one.instead) if one.instead else None,
    }


def _probe(found: Probe) -> dict[str, Any]:
    return {
        "space": found.space,
        "judged_from": found.floor,
        "homogeneity": _number(found.homogeneity),
        "additivity": _number(found.additivity),
        "everywhere": _number(found.everywhere),
        "linear": found.linear,
        "black": _numbers(found.black),
        "clips_above": found.clips_above,
        "clips_below": found.clips_below,
        "reaches": _numbers(found.reaches),
        "invertible": found.invertible,
        "finite": found.finite,
        "matrix": [_numbers(row) for row in found.matrix.tolist()],
        "mixing": _number(found.mixing),
        "same_numbers": _residual(found.same_numbers),
        "curve": {
            "stops": CURVE_STOPS.tolist(),
            "in": (GREY * np.exp2(CURVE_STOPS)).tolist(),
            "out": [_numbers(row) for row in found.curve],
        },
    }


def _restated(restated: Restated) -> dict[str, Any]:
    return {
        "space": restated.space,
        "exposure_stops": restated.stops,
        "matrix": [list(row) for row in restated.matrix],
        "gains": list(restated.gains),
        "residual": _residual(restated.residual),
    }


def _residual(residual: Residual) -> dict[str, float]:
    return {"median": residual.median, "p95": residual.p95, "max": residual.maximum}


def _numbers(values: tuple[float, ...] | list[float]) -> list[float | None]:
    return [_number(value) for value in values]


def _number(value: float) -> float | None:
    """Return a number; None if it is not finite, which JSON cannot say."""
    return float(value) if math.isfinite(value) else None
