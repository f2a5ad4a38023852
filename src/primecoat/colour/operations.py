"""What shader nodes do to linear colours, and what a change of primaries leaves over of it.

A node works on the numbers of the working space it stands in. In another working space the same
node gives another colour, unless it commutes with the change of primaries: whatever treats all
channels alike and in proportion does (grey multiply, sum, scalar mix), the rest does not.

Source of the formulas: *MaterialX Specification 1.39* and its libraries, 1.39.5 (``stdlib_ng``,
``genglsl``); *UsdPreviewSurface* 2.6 for ``scale`` and ``bias``; glTF ``KHR_materials_volume`` for
attenuation, Beer's law by channel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Inputs = Mapping[str, Floats]
"""Input to its numbers: shape (count, 3), (1, 3) or (1, 1); those left out have their default."""

_AP1_WEIGHTS: Final = (0.2722287, 0.6740818, 0.0536895)
"""Default ``lumacoeffs`` of ``luminance`` and ``saturate``."""


def _get(inputs: Inputs, name: str, default: float) -> Floats:
    found = inputs.get(name)
    return np.full((1, 1), default) if found is None else found


def _in(inputs: Inputs) -> Floats:
    return _get(inputs, "in", 0.0)


def _multiply(inputs: Inputs) -> Floats:
    return _get(inputs, "in1", 0.0) * _get(inputs, "in2", 1.0)


def _divide(inputs: Inputs) -> Floats:
    return _get(inputs, "in1", 0.0) / _get(inputs, "in2", 1.0)


def _modulo(inputs: Inputs) -> Floats:
    return np.mod(_get(inputs, "in1", 0.0), _get(inputs, "in2", 1.0))


def _power(inputs: Inputs) -> Floats:
    return np.power(_get(inputs, "in1", 0.0), _get(inputs, "in2", 1.0))


def _safe_power(inputs: Inputs) -> Floats:
    base = _get(inputs, "in1", 0.0)
    return np.sign(base) * np.power(np.abs(base), _get(inputs, "in2", 1.0))


def _least(inputs: Inputs) -> Floats:
    return np.minimum(_get(inputs, "in1", 0.0), _get(inputs, "in2", 0.0))


def _greatest(inputs: Inputs) -> Floats:
    return np.maximum(_get(inputs, "in1", 0.0), _get(inputs, "in2", 0.0))


def _clamp(inputs: Inputs) -> Floats:
    low, high = _get(inputs, "low", 0.0), _get(inputs, "high", 1.0)
    return np.minimum(np.maximum(_in(inputs), low), high)


def _smoothstep(inputs: Inputs) -> Floats:
    low, high = _get(inputs, "low", 0.0), _get(inputs, "high", 1.0)
    at = np.clip((_in(inputs) - low) / (high - low), 0.0, 1.0)
    return np.asarray(at * at * (3.0 - 2.0 * at))


def _remap(inputs: Inputs) -> Floats:
    low, high = _get(inputs, "inlow", 0.0), _get(inputs, "inhigh", 1.0)
    to, top = _get(inputs, "outlow", 0.0), _get(inputs, "outhigh", 1.0)  # codespell:ignore outlow
    return np.asarray(to + (_in(inputs) - low) * (top - to) / (high - low))


def _range(inputs: Inputs) -> Floats:
    low, high = _get(inputs, "inlow", 0.0), _get(inputs, "inhigh", 1.0)
    to, top = _get(inputs, "outlow", 0.0), _get(inputs, "outhigh", 1.0)  # codespell:ignore outlow
    share = (_in(inputs) - low) / (high - low)
    curved = np.sign(share) * np.power(np.abs(share), 1.0 / _get(inputs, "gamma", 1.0))
    result = to + curved * (top - to)
    clamps = bool(_get(inputs, "doclamp", 0.0).any())
    return np.minimum(np.maximum(result, to), top) if clamps else np.asarray(result)


def _contrast(inputs: Inputs) -> Floats:
    pivot = _get(inputs, "pivot", 0.5)
    return (_in(inputs) - pivot) * _get(inputs, "amount", 1.0) + pivot


def _luminance(inputs: Inputs) -> Floats:
    weights = inputs.get("lumacoeffs", np.array([_AP1_WEIGHTS]))
    light = (_in(inputs) * weights).sum(axis=-1, keepdims=True)
    return np.repeat(light, 3, axis=-1)


def _saturate(inputs: Inputs) -> Floats:
    amount = _get(inputs, "amount", 1.0)
    return _luminance(inputs) * (1.0 - amount) + _in(inputs) * amount


def _hsv_adjust(inputs: Inputs) -> Floats:
    amount = inputs.get("amount", np.array([[0.0, 1.0, 1.0]]))
    hue, saturation, value = np.moveaxis(_to_hsv(_in(inputs)), -1, 0)
    turn, more, gain = np.moveaxis(np.broadcast_to(amount, (*hue.shape, 3)), -1, 0)
    return _from_hsv(np.stack((hue + turn, saturation * more, value * gain), axis=-1))


def _to_hsv(rgb: Floats) -> Floats:
    """Return hue, saturation, value of RGB as the libraries' ``mx_rgbtohsv`` does."""
    most, least = rgb.max(axis=-1), rgb.min(axis=-1)
    chroma = most - least
    saturation = np.divide(chroma, most, out=np.zeros_like(most), where=most > 0.0)
    safe = np.where(chroma > 0.0, chroma, 1.0)
    red, green, blue = np.moveaxis(rgb, -1, 0)
    sixths = np.where(
        red >= most,
        (green - blue) / safe,
        np.where(green >= most, 2.0 + (blue - red) / safe, 4.0 + (red - green) / safe),
    )
    hue = np.where(saturation > 0.0, sixths / 6.0, 0.0)
    return np.stack((np.where(hue < 0.0, hue + 1.0, hue), saturation, most), axis=-1)


def _from_hsv(hsv: Floats) -> Floats:
    """Return RGB of hue, saturation, value as the libraries' ``mx_hsvtorgb`` does."""
    hue, saturation, value = np.moveaxis(hsv, -1, 0)
    turned = 6.0 * (hue - np.floor(hue))
    sector = np.trunc(turned).astype(int)
    part = turned - sector
    low = value * (1.0 - saturation)
    falling = value * (1.0 - saturation * part)
    rising = value * (1.0 - saturation * (1.0 - part))
    triples = (
        (value, rising, low),
        (falling, value, low),
        (low, value, rising),
        (low, falling, value),
        (rising, low, value),
        (value, low, falling),
    )
    chosen = [np.select([sector == i for i in range(6)], [t[c] for t in triples]) for c in range(3)]
    return np.where((saturation < 1e-4)[..., None], value[..., None], np.stack(chosen, axis=-1))


def _colour_correct(inputs: Inputs) -> Floats:
    turn = np.ones((1, 3))
    turn[0, 0] = _get(inputs, "hue", 0.0).flat[0]
    turned = _hsv_adjust({"in": _in(inputs), "amount": turn})
    colourful = _saturate({"in": turned, "amount": _get(inputs, "saturation", 1.0)})
    curved = _range({"in": colourful, "gamma": _get(inputs, "gamma", 1.0)})
    lift = _get(inputs, "lift", 0.0)
    lifted = (curved * (1.0 - lift) + lift) * _get(inputs, "gain", 1.0)
    pivot = _get(inputs, "contrastpivot", 0.5)
    stretched = _contrast(
        {"in": lifted, "amount": _get(inputs, "contrast", 1.0), "pivot": pivot},
    )
    return np.asarray(stretched * np.exp2(_get(inputs, "exposure", 0.0)))


def _blend(mixed: Callable[[Floats, Floats], Floats]) -> Callable[[Inputs], Floats]:
    """Return the blend of a foreground over a background, by a mix."""

    def blend(inputs: Inputs) -> Floats:
        over, under = _get(inputs, "fg", 0.0), _get(inputs, "bg", 0.0)
        share = _get(inputs, "mix", 1.0)
        return np.asarray(share * mixed(over, under) + (1.0 - share) * under)

    return blend


def _mix(inputs: Inputs) -> Floats:
    share = _get(inputs, "mix", 0.0)
    return _get(inputs, "fg", 0.0) * share + _get(inputs, "bg", 0.0) * (1.0 - share)


def _overlay(over: Floats, under: Floats) -> Floats:
    return np.where(under >= 0.5, 1.0 - 2.0 * (1.0 - under) * (1.0 - over), 2.0 * over * under)


def _by_channel(function: Callable[[Floats], Floats]) -> Callable[[Inputs], Floats]:
    return lambda inputs: np.asarray(function(_in(inputs)))


def _scale_bias(inputs: Inputs) -> Floats:
    return _in(inputs) * _get(inputs, "scale", 1.0) + _get(inputs, "bias", 0.0)


def _factor(inputs: Inputs) -> Floats:
    return _in(inputs) * _get(inputs, "factor", 1.0)


def _attenuation(inputs: Inputs) -> Floats:
    return np.power(np.maximum(_in(inputs), 0.0), _get(inputs, "depths", 1.0))


OPERATIONS: Final[dict[str, Callable[[Inputs], Floats]]] = {
    "multiply": _multiply,
    "divide": _divide,
    "modulo": _modulo,
    "power": _power,
    "safepower": _safe_power,
    "min": _least,
    "max": _greatest,
    "clamp": _clamp,
    "smoothstep": _smoothstep,
    "remap": _remap,
    "range": _range,
    "contrast": _contrast,
    "luminance": _luminance,
    "saturate": _saturate,
    "hsvadjust": _hsv_adjust,
    "colorcorrect": _colour_correct,
    "mix": _mix,
    "burn": _blend(lambda over, under: 1.0 - (1.0 - under) / over),
    "dodge": _blend(lambda over, under: under / (1.0 - over)),
    "screen": _blend(lambda over, under: 1.0 - (1.0 - over) * (1.0 - under)),
    "overlay": _blend(_overlay),
    "difference": _blend(lambda over, under: np.abs(under - over)),
    "sqrt": _by_channel(np.sqrt),
    "exp": _by_channel(np.exp),
    "ln": _by_channel(np.log),
    "floor": _by_channel(np.floor),
    "ceil": _by_channel(np.ceil),
    "round": _by_channel(np.round),
    "fract": _by_channel(lambda values: values - np.floor(values)),
    "scale_bias": _scale_bias,
    "factor": _factor,
    "attenuation": _attenuation,
}
"""Kind of operation to what it does, as a function of linear RGB."""

NO_LIGHT: Final = {
    "rgbtohsv": "it gives hue, saturation and value, which are no amounts of light to compare",
    "hsvtorgb": "it takes hue, saturation and value, which no change of primaries carries over",
    "curveadjust": "its curves are not worked out here",
}
"""Kinds that never commute and for which no figure can be given, with the reason."""
