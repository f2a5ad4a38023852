"""Weighing as a pure function: properties that hold for any evidence."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from primecoat.colour.ids import DATA, SCENE_SPACES, SPACES, UNKNOWN
from primecoat.location import Location
from primecoat.reading.evidence import (
    FAMILIES,
    WITNESSES,
    Evidence,
    Witness,
    agree,
    readings_of,
)
from primecoat.reading.policy import policy
from primecoat.reading.weigh import disputes, weigh

RULES = policy()
SETTLED = RULES.weight("standing", "settled")
LIKELY = RULES.weight("standing", "likely")
STRONG = RULES.weight("standing", "strong")
HERE = Location("a.png")

CLAIMS = st.sampled_from([*SPACES, DATA, *FAMILIES])
EVIDENCE = st.builds(
    Evidence,
    witness=st.sampled_from([w for w in WITNESSES if w != "person"]),
    claim=CLAIMS,
    strength=st.floats(0.1, 10.0),
    words=st.just("so it is"),
    location=st.just(HERE),
    among_colours=st.booleans(),
    prior=st.booleans(),
    set_aside=st.sampled_from(["", "", "outranked"]),
)
SETS = st.lists(EVIDENCE, max_size=6)


def said(
    claim: str,
    strength: float,
    *,
    witness: Witness = "slot",
    among_colours: bool = False,
    prior: bool = False,
    set_aside: str = "",
) -> Evidence:
    return Evidence(
        witness=witness,
        claim=claim,
        strength=strength,
        words="so it is",
        location=HERE,
        among_colours=among_colours,
        prior=prior,
        set_aside=set_aside,
    )


def only_priors(evidence: list[Evidence]) -> list[Evidence]:
    return [e for e in evidence if e.prior]


@settings(deadline=None, max_examples=200)
@given(SETS)
def test_standing_and_reading_agree(evidence: list[Evidence]):
    """A reading is given when, and only when, it is settled or likely; probabilities are such."""
    judged = weigh(evidence, RULES)
    assert judged.standing in ("settled", "likely", "conflicting", "unknown")
    assert (judged.reading == UNKNOWN) == (judged.standing in ("conflicting", "unknown"))
    assert sum(c.confidence for c in judged.candidates) <= 1.0 + 1e-9
    assert list(judged.candidates) == sorted(judged.candidates, key=lambda c: -c.confidence)
    if judged.reading != UNKNOWN:
        assert judged.candidates[0].reading == judged.reading
        assert judged.confidence >= (SETTLED if judged.standing == "settled" else LIKELY)


@settings(deadline=None, max_examples=200)
@given(SETS)
def test_priors_settle_nothing(evidence: list[Evidence]):
    """What is settled is settled without the priors too, as the same reading."""
    judged = weigh(evidence, RULES)
    if judged.standing == "settled":
        bare = weigh([e for e in evidence if not e.prior], RULES)
        assert (bare.reading, bare.standing) == (judged.reading, "settled")
    assert weigh(only_priors(evidence), RULES).standing in ("unknown", "likely")


@settings(deadline=None)
@given(SETS)
def test_what_is_set_aside_wins_nothing(evidence: list[Evidence]):
    """Evidence set aside never changes the reading; it can only make it less firm."""
    with_it = weigh(evidence, RULES)
    without = weigh([e for e in evidence if not e.set_aside], RULES)
    assert with_it.candidates == without.candidates
    assert with_it.reading == without.reading
    if with_it.standing == "settled":
        assert without.standing == "settled"


@settings(deadline=None)
@given(
    st.lists(EVIDENCE, min_size=1, max_size=6).flatmap(
        lambda e: st.tuples(st.just(e), st.permutations(e))
    )
)
def test_order_does_not_matter(pair: tuple[list[Evidence], list[Evidence]]):
    """The order in which witnesses are heard changes nothing."""
    one, other = (weigh(evidence, RULES) for evidence in pair)
    assert (one.reading, one.standing) == (other.reading, other.standing)
    assert one.confidence == pytest.approx(other.confidence, abs=1e-9)


@settings(deadline=None)
@given(SETS, st.sampled_from([*SPACES, DATA]))
def test_a_person_overrules(evidence: list[Evidence], claim: str):
    """Whatever else is said, a person's word is the reading."""
    judged = weigh([*evidence, said(claim, 1.0, witness="person")], RULES)
    assert (judged.reading, judged.standing, judged.confidence) == (claim, "overruled", 1.0)


@settings(deadline=None)
@given(SETS, st.sampled_from(SCENE_SPACES), st.sampled_from(SCENE_SPACES))
def test_strong_contradiction(evidence: list[Evidence], one: str, other: str):
    """Two strong witnesses that cannot both be right are a conflict, whatever the rest says."""
    pair = [said(one, STRONG), said(other, STRONG)]
    judged = weigh([*evidence, *pair], RULES)
    if one != other:
        assert (judged.reading, judged.standing) == (UNKNOWN, "conflicting")
    assert bool(disputes(pair, STRONG)) == (one != other)


@settings(deadline=None)
@given(SETS)
def test_no_strong_witness_no_conflict(evidence: list[Evidence]):
    """Weak evidence never makes a conflict, and priors never do."""
    weak = [e for e in evidence if e.strength < STRONG or e.prior]
    assert weigh(weak, RULES).standing != "conflicting"


def test_prior_against_weaker_evidence():
    """A prior that outweighs evidence for data makes colour likely at most, never settled."""
    data = said(DATA, 5.0, witness="pixels")
    evidence = [data, said("srgb_rec709_scene", 9.9, prior=True)]
    assert weigh([evidence[0]], RULES).reading == DATA
    judged = weigh(evidence, RULES)
    assert (judged.reading, judged.standing) == ("srgb_rec709_scene", "likely")


def test_prior_gives_way_to_a_statement():
    """A strong statement of one space is settled though a prior says another."""
    stated = said("srgb_p3d65_scene", 9.2, witness="header", among_colours=True)
    prior = said("srgb_rec709_scene", 6.0, among_colours=True, prior=True)
    judged = weigh([said("colour", 9.2), stated, prior], RULES)
    assert (judged.reading, judged.standing) == ("srgb_p3d65_scene", "settled")


def test_no_evidence():
    """Nobody says anything: unknown, with no candidate."""
    judged = weigh((), RULES)
    assert (judged.reading, judged.standing, judged.confidence) == (UNKNOWN, "unknown", 0.0)
    assert judged.candidates == ()


def test_kind_alone_gives_no_space():
    """That it is colour, however sure, does not say in which space."""
    assert weigh([said("colour", 9.2)], RULES).standing == "unknown"


def test_a_curve_alone_gives_no_space():
    """That it is linear leaves the primaries open: unknown, not a guess."""
    evidence = [said("colour", 9.2), said("linear", 9.2, among_colours=True)]
    assert weigh(evidence, RULES).standing == "unknown"


@pytest.mark.parametrize(
    ("strength", "standing"), [(0.5, "unknown"), (2.3, "likely"), (4.0, "likely"), (9.2, "settled")]
)
def test_data_by_strength(strength: float, standing: str):
    """The firmer the evidence for data, the firmer the standing."""
    assert weigh([said(DATA, strength)], RULES).standing == standing


def test_colour_statement_does_not_argue_with_a_data_map():
    """A statement that only tells colours apart is no contradiction to data."""
    evidence = [said(DATA, 9.2), said("srgb_rec709_scene", 9.2, among_colours=True)]
    assert (weigh(evidence, RULES).reading, weigh(evidence, RULES).standing) == (DATA, "settled")


def test_strong_doubt_keeps_it_likely():
    """A strong statement that a standard sets aside keeps the reading from being settled."""
    evidence = [
        said("srgb_rec709_scene", 9.2),
        said("srgb_p3d65_scene", 9.2, among_colours=True, set_aside="the standard ignores it"),
    ]
    judged = weigh(evidence, RULES)
    assert (judged.reading, judged.standing) == ("srgb_rec709_scene", "likely")


@pytest.mark.parametrize("family", FAMILIES)
def test_families(family: str):
    """A family agrees with each of its members and never with data."""
    assert len(readings_of(family)) >= 1
    assert all(agree(family, member) for member in readings_of(family))
    assert not agree(family, DATA)


def test_weights_keep_their_order():
    """The weights mean what their comments say: kinds of evidence in their order of firmness."""
    assert RULES.weight("slot", "fixed") > RULES.weight("standing", "strong")
    assert RULES.weight("header", "firm") > RULES.weight("standing", "strong")
    assert RULES.weight("header", "hint") < RULES.weight("standing", "strong")
    assert RULES.weight("name", "word") < RULES.weight("standing", "strong")
    assert RULES.weight("siblings", "plain_member") < RULES.weight("name", "word")
    assert 0.5 < LIKELY < SETTLED < 1.0


def test_a_slot_decides_between_colour_and_data():
    """All that pixels can say by themselves, and how often such pictures are data, yields to it."""
    grey_paint = (
        said("colour", RULES.weight("slot", "kind"), witness="slot"),
        said(DATA, 3.0, witness="pixels"),
        said(DATA, 2.2, prior=True, witness="pixels"),
        said(DATA, RULES.weight("siblings", "grey_beside_colour"), witness="siblings"),
    )
    colour = weigh(grey_paint, RULES).colour
    assert colour is not None
    assert colour >= LIKELY
    map_ = (
        said(DATA, RULES.weight("slot", "kind"), witness="slot"),
        said("colour", 4.0, witness="pixels"),
        said("colour", 0.6, prior=True, witness="pixels"),
        said("colour", RULES.weight("siblings", "plain_member"), witness="siblings"),
    )
    assert weigh(map_, RULES).reading == DATA


def test_colour_in_a_space_without_a_name_is_colour():
    """A profile of no known space leaves the space open, and nothing else."""
    judged = weigh(
        (
            said("colour", RULES.weight("slot", "kind"), witness="slot"),
            said(UNKNOWN, RULES.weight("header", "firm"), among_colours=True, witness="header"),
        ),
        RULES,
    )
    assert (judged.reading, judged.candidates) == (UNKNOWN, ())
    assert judged.colour == pytest.approx(0.9999, abs=1e-4)
    assert weigh((), RULES).colour is None
