"""What would change an answer: each witness left out in turn, and each that could be added."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.inventory import SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, WITNESSES, Evidence, Witness, is_data
from primecoat.reading.judgement import ImageReading, Judgement
from primecoat.reading.policy import Policy
from primecoat.reading.set_aside import set_aside
from primecoat.reading.weigh import weigh

_NOWHERE = Location("")


def turning_points(image: ImageReading, policy: Policy) -> tuple[str, ...]:
    """Say in sentences what would change the reading or the standing of an image.

    Every sentence is tried: the evidence is weighed again without a witness, or with one more, and
    what a slot or a standard sets aside is decided anew.

    Parameters
    ----------
    image
        The image with its evidence.
    policy
        The weights it was judged by.
    """
    now, evidence = image.judgement, image.evidence
    use = image.uses[0].scene_use if image.uses else None
    if now.standing == "overruled":
        return ("A person said so; only another decision changes it.",)
    wanted = {use.judgement.reading for use in image.uses}
    if len(wanted) > 1 or _outcome(weigh(evidence, policy)) != _outcome(now):
        return ("Its uses differ: each is judged by what is said about it alone.",)
    if any(use.scene_use.use.fixed is not None for use in image.uses):
        return ("A standard fixes it; only another slot, or a person's decision, changes it.",)
    return (*_without(evidence, use, now, policy), *_with_more(evidence, use, now, policy))


def _without(
    evidence: Sequence[Evidence], use: SceneUse | None, now: Judgement, policy: Policy
) -> Iterator[str]:
    for witness in WITNESSES:
        rest = [e for e in evidence if e.witness != witness]
        if len(rest) == len(evidence):
            continue
        then = weigh(set_aside(rest, use), policy)
        if _outcome(then) != _outcome(now):
            yield f"Without the {witness} it would be {_words(then)}."


def _with_more(
    evidence: Sequence[Evidence], use: SceneUse | None, now: Judgement, policy: Policy
) -> Iterator[str]:
    """Yield what one more firm statement would do: the agreeing ones first, then a rival."""
    best = _best(now)
    if now.standing != "settled":
        helped: dict[str, list[str]] = {}
        for words, more in _helpful(best, policy):
            then = weigh(set_aside([*evidence, *more], use), policy)
            if then.standing == "settled":
                helped.setdefault(then.reading, []).append(words)
        for reading, ways in helped.items():
            yield f"{_or(ways)} would settle it as {reading}."
        return
    for words, more in _contrary(now.reading, policy):
        then = weigh(set_aside([*evidence, *more], use), policy)
        if _outcome(then) != _outcome(now):
            yield f"{words} would make it {_words(then)}."
            return


def _best(now: Judgement) -> str:
    """Return the likeliest reading; of several that are equal the most usual one, else none."""
    first = [c.reading for c in now.candidates if c.confidence == now.candidates[0].confidence]
    usual = [reading for reading in ("lin_rec709_scene", "srgb_rec709_scene") if reading in first]
    return next(iter(usual if len(first) > 1 else first), "")


def _helpful(best: str, policy: Policy) -> Iterator[tuple[str, tuple[Evidence, ...]]]:
    slot, header = policy.weight("slot", "kind"), policy.weight("header", "firm")
    token = policy.weight("name", "token")
    yield "A slot that takes data", (_said("slot", DATA, slot),)
    space = best if best in SPACES else "srgb_rec709_scene"
    of_it = f"of {space}"
    yield f"a statement {of_it} in the file", (_said("header", space, header, among=True),)
    yield f"a token {of_it} in its name", (_said("name", space, token),)
    yield (
        f"a colour slot together with a statement {of_it} in the file",
        (_said("slot", COLOUR, slot), _said("header", space, header, among=True)),
    )


def _contrary(reading: str, policy: Policy) -> Iterator[tuple[str, tuple[Evidence, ...]]]:
    strength = policy.weight("declaration", "written")
    rival = "lin_rec709_scene" if is_data(reading) else DATA
    other = "lin_ap1_scene" if reading != "lin_ap1_scene" else "lin_rec709_scene"
    for claim in (rival, other):
        yield f"A declaration of {claim} in the scene", (_said("declaration", claim, strength),)


def _said(witness: Witness, claim: str, strength: float, *, among: bool = False) -> Evidence:
    return Evidence(
        witness=witness,
        claim=claim,
        strength=strength,
        words="",
        location=_NOWHERE,
        among_colours=among,
    )


def _outcome(judgement: Judgement) -> tuple[str, str]:
    return judgement.reading, judgement.standing


def _words(judgement: Judgement) -> str:
    if judgement.reading == UNKNOWN:
        return judgement.standing
    return f"{judgement.reading}, {judgement.standing}"


def _or(ways: Sequence[str]) -> str:
    text = ways[0] if len(ways) == 1 else f"{', '.join(ways[:-1])} or {ways[-1]}"
    return text[0].upper() + text[1:]
