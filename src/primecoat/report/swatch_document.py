"""Swatches and re-expressed gains as JSON documents."""

from __future__ import annotations

from typing import Any

from primecoat.colour.albedo import DARKEST, LIGHTEST
from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import default_view_transform
from primecoat.colour.primaries import Triple
from primecoat.colour.products import REFLECTANCES, Residual
from primecoat.colour.seen import Codes, Seen, Sought, codes_of
from primecoat.colour.swatch import REC709, Swatch
from primecoat.colour.temperature import METHOD
from primecoat.colour.white_balance import MovedGains
from primecoat.documents import Document
from primecoat.report.versions import versions


def swatch_document(swatch: Swatch) -> Document:
    """Return a swatch as ``primecoat.swatch/1``."""
    temperature = swatch.temperature
    return {
        "document": "primecoat.swatch/1",
        **versions(),
        "config": swatch.config,
        "to": swatch.working,
        "colour": {
            "value": list(swatch.rgb),
            "space": swatch.source,
            "referred": SPACES[swatch.source].referred,
        },
        "spaces": {found.space: list(found.rgb) for found in swatch.spaces},
        "codes": {found.space: _codes(found.codes) for found in swatch.spaces if found.codes},
        "display_spaces_by": default_view_transform(swatch.config),
        "xyz": list(swatch.xyz),
        "xy": list(swatch.xy) if swatch.xy else None,
        "temperature": {
            "kelvin": temperature.kelvin,
            "duv": temperature.duv,
            "method": METHOD,
        }
        if temperature
        else None,
        "albedo": {
            "judgement": swatch.albedo,
            "luminance": swatch.xyz[1],
            "limits": [DARKEST, LIGHTEST],
        },
        "gamuts": {
            found.primaries: {
                "inside": found.inside,
                "ciede2000": found.difference,
                "nearest": list(found.rgb),
            }
            for found in swatch.gamuts
        },
        "copy": {space: to_copy(swatch.numbers(space)) for space in (swatch.working, REC709)},
        "through": _seen(swatch.seen) if swatch.seen and not swatch.sought else None,
        "against": _sought(swatch.sought) if swatch.sought else None,
    }


def gains_document(moved: MovedGains, config: str) -> Document:
    """Return re-expressed gains as ``primecoat.gains/1``."""
    return {
        "document": "primecoat.gains/1",
        **versions(),
        "config": config,
        "from": moved.source,
        "to": moved.target,
        "gains": list(moved.gains),
        "matrix": [list(row) for row in moved.matrix],
        "best": {"gains": list(moved.best.gains), "residual": _residual(moved.best.residual)},
        "as_colour": {
            "gains": list(moved.as_colour),
            "residual": _residual(moved.as_colour_residual),
        },
        "over": REFLECTANCES,
    }


def to_copy(rgb: Triple) -> str:
    """Return three numbers to paste into a field.

    Examples
    --------
    >>> to_copy((0.6130974, 0.07019373, -0.0))
    '0.613097, 0.070194, 0.000000'
    """
    return ", ".join(f"{round(value, 6) + 0.0:.6f}" for value in rgb)


def hex_of(codes: Codes) -> str:
    """Return 8-bit codes as ``#rrggbb``.

    Examples
    --------
    >>> hex_of((181, 101, 29))
    '#b5651d'
    """
    return f"#{bytes(codes).hex()}"


def _codes(codes: Codes) -> dict[str, Any]:
    return {"hex": hex_of(codes), "codes": list(codes)}


def _seen(seen: Seen) -> dict[str, Any]:
    return {
        "display": seen.display,
        "view": seen.view,
        "value": list(seen.rgb),
        **_codes(seen.codes),
        "xyz": list(seen.xyz),
    }


def _sought(sought: Sought) -> dict[str, Any]:
    return {
        "wanted": {"value": list(sought.wanted), **_codes(codes_of(sought.wanted))},
        "reachable": sought.reachable,
        "scene": list(sought.scene),
        "luminance": sought.luminance,
        "shown": _seen(sought.seen),
        "ciede2000": sought.residual,
        "uses": {
            "emissive": True,
            "unlit": True,
            "reflectance": sought.reflectance,
        },
        "why": sought.why_no_surface,
    }


def _residual(residual: Residual) -> dict[str, float]:
    return {"median": residual.median, "p95": residual.p95, "max": residual.maximum}
