"""What becomes of an old correction when a view transform comes in.

Common practice, no source: exposure and white balance may stay, on scene-linear light; whatever
changes the dynamic range goes out before the view transform comes in, which does that work now;
what works on the display's numbers belongs after the view.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from primecoat.errors import UseError
from primecoat.renders.corrections.codes import CodeCurve, code_curve
from primecoat.renders.corrections.kinds import Gain, gain_of
from primecoat.renders.corrections.light import Light, light_of
from primecoat.renders.corrections.model import Chain, Correction, Floats, run_between
from primecoat.renders.corrections.probe import Probe, probe
from primecoat.renders.corrections.reasons import (
    gain_reasons,
    not_a_gain_reasons,
    same_numbers_reason,
)
from primecoat.renders.corrections.restate import Restated, restate

Verdict = Literal["may stay", "must go", "belongs after the view"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A correction and what becomes of it.

    Parameters
    ----------
    correction
        The correction.
    verdict
        What becomes of it.
    what
        What it is, in a word or two.
    reasons
        Why, in sentences.
    probe
        What its numbers told; None if its spaces alone settle it.
    codes
        The curve of a correction that works on or gives display numbers.
    restated
        The gain in the new working space, if it may stay.
    instead
        The gain that it is below its clip, in the new working space, if it must go for the clip.
    """

    correction: Correction
    verdict: Verdict
    what: str
    reasons: tuple[str, ...]
    probe: Probe | None = None
    codes: CodeCurve | None = None
    restated: Restated | None = None
    instead: Restated | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedChain:
    """All corrections of a file, one by one and as a whole.

    Parameters
    ----------
    chain
        The corrections.
    target
        Color Interop ID of the linear space that the scene moves to.
    each
        One for each correction, in their order.
    whole
        All that work on light in the scene, as if they were one; all, if none does.
    """

    chain: Chain
    target: str
    each: tuple[Judged, ...]
    whole: Judged


def judge_all(chain: Chain, target: str) -> JudgedChain:
    """Judge corrections one by one and as a whole.

    Parameters
    ----------
    chain
        The corrections.
    target
        Color Interop ID of the linear space that the scene moves to.

    Raises
    ------
    UseError
        If a correction gives numbers of a display and the next works on light in the scene.
    """
    _check_order(chain)
    each: list[Judged] = []
    for one in chain.corrections:
        found = judge(one, target, chain.config)
        gone = next((j.correction.name for j in each if j.verdict == "must go"), None)
        if (
            found.verdict == "may stay"
            and gone is not None
            and found.what
            not in (
                "nothing",
                "change of space",
            )
        ):
            words = f"It stands after {gone}, whose outcome it was set on: set it anew."
            found = replace(found, reasons=(*found.reasons, words))
        each.append(found)
    return JudgedChain(
        chain=chain, target=target, each=tuple(each), whole=_whole(chain, tuple(each), target)
    )


def judge(correction: Correction, target: str, config: str) -> Judged:
    """Judge one correction by itself; see :func:`judge_all`."""
    comes, goes = correction.on_display
    codes = code_curve(correction, config) if comes or goes else None
    if comes and goes:
        words = f"It works on {correction.works_in}, the numbers of a display."
        return Judged(
            correction=correction,
            verdict="belongs after the view",
            what="display side",
            reasons=(words, "It does not touch the light of the scene."),
            codes=codes,
        )
    if comes or goes:
        into = f"It makes {correction.gives} of {correction.works_in}"
        words = (
            f"{into}: display numbers of light in the scene. That is the view transform's work."
            if goes
            else f"{into}: a view turned round. Light in the scene needs none."
        )
        what = "old view" if goes else "old view turned round"
        return Judged(
            correction=correction, verdict="must go", what=what, reasons=(words,), codes=codes
        )
    light = light_of(correction, target, config)
    found = probe(light, target)
    if found.linear:
        gain = _gain(found.matrix, light)
        if gain.stays:
            return _stays(correction, light, found, gain, target)
        reasons = gain_reasons(gain, found)
        if gain.kind != "unphysical":
            reasons = (*reasons, *same_numbers_reason(found, target))
        return Judged(
            correction=correction, verdict="must go", what=gain.kind, reasons=reasons, probe=found
        )
    what, reasons = not_a_gain_reasons(found)
    instead = None
    if found.inside is not None:
        below = _gain(found.inside[1], light)
        if below.kind == "nothing":
            reasons = (*reasons, "Below that it does nothing.")
        elif below.stays:
            reasons = (*reasons, "Below that it is a gain: put the gain in its place.")
            instead = restate(below, found.inside[1], light.space, target, config)
    return Judged(
        correction=correction,
        verdict="must go",
        what=what,
        reasons=reasons,
        probe=found,
        instead=instead,
    )


def _gain(matrix: Floats, light: Light) -> Gain:
    own = light.correction.works_in
    return gain_of(matrix, light.space, light.config, own=own, channels=light.channels)


def _stays(
    correction: Correction, light: Light, found: Probe, gain: Gain | None, target: str
) -> Judged:
    reasons = gain_reasons(gain, found)
    if gain is None or gain.kind not in ("nothing", "exposure"):
        reasons = (*reasons, *same_numbers_reason(found, target))
    return Judged(
        correction=correction,
        verdict="may stay",
        what=_what(gain, correction),
        reasons=reasons,
        probe=found,
        restated=restate(gain, found.matrix, light.space, target, light.config),
    )


def _what(gain: Gain | None, correction: Correction) -> str:
    if gain is None:
        return "several gains"
    return "change of space" if gain.kind == "nothing" and correction.converts else gain.kind


def _whole(chain: Chain, each: tuple[Judged, ...], target: str) -> Judged:
    """Judge what works on light in the scene as if it were one correction."""
    scene = tuple(one for one in chain.corrections if not one.on_display[0])
    if not scene:
        words = "Every correction works on the numbers of a display."
        return replace(
            each[0], correction=_as_one(chain.corrections, chain.config), reasons=(words,)
        )
    as_one = _as_one(scene, chain.config)
    found = judge(as_one, target, chain.config)
    verdicts = {judged.verdict for judged in each if not judged.correction.on_display[0]}
    only_gains = verdicts == {"may stay"} and found.probe is not None and found.probe.linear
    if found.verdict == "must go" and only_gains and found.probe is not None:
        light = light_of(as_one, target, chain.config)  # gains among other channels than each other
        return _stays(as_one, light, found.probe, None, target)
    if found.verdict == "may stay" and "must go" in verdicts:
        words = "Taken together the corrections undo what makes one of them go."
        found = replace(found, reasons=(words, *found.reasons))
    return found


def _as_one(corrections: tuple[Correction, ...], config: str) -> Correction:
    if len(corrections) == 1:
        return corrections[0]
    first, last = corrections[0], corrections[-1]
    return Correction(
        name=f"1 to {len(corrections)} as one",
        run=lambda values: run_between(corrections, values, first.works_in, config)[0],
        works_in=first.works_in,
        gives=last.gives,
        on_display=(first.on_display[0], last.on_display[1]),
        converts=all(one.converts for one in corrections),
        through=tuple(one.works_in for one in corrections[1:]),
    )


def _check_order(chain: Chain) -> None:
    for one, after in zip(chain.corrections, chain.corrections[1:], strict=False):
        if one.on_display[1] and not after.on_display[0]:
            raise UseError(
                f"In {chain.path}, {one.name} gives {one.gives}, light on a display, and "
                f"{after.name} after it works on {after.works_in}, light in the scene.",
                "Put the corrections in the order they act in, or correct the spaces.",
            )
