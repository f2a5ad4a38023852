"""Why a correction is judged as it is, in sentences with the figures that were measured."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from primecoat.renders.corrections.kinds import Gain
from primecoat.renders.corrections.light import GREY
from primecoat.renders.corrections.model import Floats
from primecoat.renders.corrections.probe import (
    CURVE_STOPS,
    NOTHING,
    TOLERANCE,
    WHITE,
    Probe,
)


def gain_reasons(gain: Gain | None, found: Probe) -> tuple[str, ...]:
    """Say what a linear correction is, and what of it does not matter."""
    words = [f"It is linear in light, {_within(found.deviation)}."]
    if gain is None:
        words.append("It is the product of gains, each of which may stay.")
    elif gain.kind == "nothing":
        words = ["It does nothing to light."]
    elif gain.kind == "exposure" and gain.factors:
        words.append(f"All channels gain {np.log2(np.mean(gain.factors)):+.3f} stops: exposure.")
    elif gain.kind == "white balance" and gain.factors:
        words.append(f"It multiplies the channels of {gain.among} by {_numbers(gain.factors)}.")
    elif gain.kind == "white adaptation" and gain.factors:
        words.append(
            f"It adapts white: it multiplies the responses of {gain.among} by "
            f"{_numbers(gain.factors)}."
        )
    elif gain.kind == "saturation":
        words.append(
            "It keeps greys and mixes channels about them: a saturation, which is a look and no "
            "lamp's doing. The new view renders saturated light in its own way; find the look anew."
        )
    elif gain.kind == "change of primaries":
        words.append(
            f"It is the change from {gain.among}. If the numbers truly change their space there, "
            "say so by the spaces it works in and gives; if not, it shifts colours."
        )
    elif gain.kind == "mix of channels":
        words.append(
            f"It mixes channels, {found.mixing:.1%} off the diagonal, in no primaries or cones "
            "where it multiplies alone: neither exposure nor white balance."
        )
    else:
        words.append(_unphysical(found.matrix))
    if not (gain is None or gain.stays):
        return tuple(words)
    if found.clips_above is not None:
        words.append(
            f"It clips above {found.clips_above:.3g}, which a view shows as white anyway; "
            "the gain does not."
        )
    if found.clips_below:
        words.append("It cuts numbers below 0 off, which the gain does not.")
    if found.floor and max(map(abs, found.black)) > NOTHING:
        words.append(
            f"Below {found.floor:.2g} its space is not logarithmic and it lifts black to "
            f"{max(found.black, key=abs):.2g}; the gain does not."
        )
    return tuple(words)


def not_a_gain_reasons(found: Probe) -> tuple[str, tuple[str, ...]]:
    """Say what a correction is that is no gain, in a word and in sentences."""
    if not found.finite:
        return "broken", ("Numbers come out that are infinite or none.",)
    kinds: list[str] = []
    words: list[str] = []
    if found.clips_above is not None and found.clips_above < WHITE:
        kinds.append("clips")
        words.append(f"It lets no more light through above {found.clips_above:.3g}.")
    black = max(found.black, key=abs)
    lifts = abs(black) > NOTHING and not found.floor
    if lifts:
        words.append(f"Black becomes {black:.5g}: no lamp turned up or down does that.")
    if found.homogeneity > TOLERANCE and found.inside is None:
        told = () if lifts and _only_lifts(found) else _bending(found)
        kinds += ["tone curve"] if told else []
        words += told
    if lifts and not kinds:
        kinds.append("lift")
    if found.homogeneity <= TOLERANCE < found.deviation:
        kinds.append("colour change")
        words.append(
            f"It keeps the exposure of some colours, yet others come out up to "
            f"{max(found.additivity, found.everywhere):.1%} off the gain of these: it treats "
            "colours differently."
        )
    if not found.invertible and "clips" not in kinds:
        words.append("It cannot be taken back: greys lose their order.")
    if not kinds:
        kinds.append("not linear")
        words.append(
            f"k times the light gives up to {found.homogeneity:.2%} else than k times the outcome."
        )
    return ", ".join(kinds), tuple(words)


def same_numbers_reason(found: Probe, target: str) -> tuple[str, ...]:
    """Say what the same numbers would do in the primaries of the new space."""
    left = found.same_numbers
    if left.maximum <= TOLERANCE:
        return ()
    return (
        f"The same numbers in {target} would be off by {left.median:.1%} (median), "
        f"{left.p95:.1%} (95 %).",
    )


def stops_gained(found: Probe) -> Floats:
    """Return by how many stops greys of ``CURVE_STOPS`` gain, shape (n, 3); NaN where none is left.

    A flat line is a gain.
    """
    light = GREY * np.exp2(CURVE_STOPS)[:, None]
    after = np.array(found.curve)
    with np.errstate(all="ignore"):
        return np.where(after > 0, np.log2(after / light), np.nan)


def _bending(found: Probe) -> tuple[str, ...]:
    """Say how the gain of greys changes with exposure; nothing if it does not."""
    gained = stops_gained(found)[_judged(found)]
    if not np.isfinite(gained).all():
        return ("Some greys become 0 or less.",)
    channel = int(np.ptp(gained, axis=0).argmax())
    if np.ptp(gained[:, channel]) <= np.log2(1.0 + TOLERANCE):
        return ()
    stops = CURVE_STOPS[_judged(found)]
    one = gained[:, channel]
    at = sorted({int(one.argmin()), int(np.abs(stops).argmin()), int(one.argmax())})
    told = ", ".join(f"{one[n]:+.2f} at {stops[n]:+g}" for n in at)
    return (f"Greys gain stops unevenly ({told}): it changes the dynamic range.",)


def _only_lifts(found: Probe) -> bool:
    """Whether greys gain evenly once the lift is taken off."""
    light = GREY * np.exp2(CURVE_STOPS)[:, None]
    rates = ((np.array(found.curve) - found.black) / light)[_judged(found)]
    return bool((np.ptp(rates, axis=0) <= 0.01 * np.abs(rates).max(axis=0)).all())


def _judged(found: Probe) -> NDArray[np.bool_]:
    light = GREY * np.exp2(CURVE_STOPS)
    return np.asarray((light >= found.floor) & (light <= WHITE))


def _unphysical(matrix: Floats) -> str:
    if np.linalg.cond(matrix) > 1e4:
        return "It throws light away: colours become one, and it cannot be taken back."
    return "A channel is multiplied by less than 0: light does not become negative."


def _within(deviation: float) -> str:
    return f"within {deviation:.2%}" if deviation >= 1e-4 else "within 0.01%"


def _numbers(values: tuple[float, float, float]) -> str:
    return ", ".join(f"{value:.4f}" for value in values)
