"""The figures against values worked out by hand."""

from __future__ import annotations

import pytest
from evaluation import metrics
from evaluation.cases import Case
from evaluation.contents.content import Kind
from evaluation.metrics import Outcome, calibration_error

from primecoat.reading.judgement import Candidate, Judgement


def case(kind: Kind, space: str, subject: str = "", accepted: tuple[str, ...] = ()) -> Case:
    return Case(
        path="x.png",
        kind=kind,
        space=space,
        content="base_color",
        subject=subject,
        accepted=accepted,
    )


def outcome(labelled: Case, colour: float, reading: str, standing: str, first: str = "") -> Outcome:
    return Outcome(
        case=labelled,
        colour=colour,
        reading=reading,
        standing=standing,
        confidence=max(colour, 1 - colour),
        first=first or reading,
    )


def test_calibration_error_of_a_worked_example():
    """Three bins hold 0.95 × 4, 0.72 × 2 and 0.31 × 4; 3, 2 and 1 of them are right.

    |0.95 - 3/4| × 4/10 + |0.72 - 1| × 2/10 + |0.31 - 1/4| × 4/10 = 0.08 + 0.056 + 0.024 = 0.16
    """
    confidences = [0.95] * 4 + [0.72] * 2 + [0.31] * 4
    right = [True] * 3 + [False] + [True] * 2 + [True] + [False] * 3
    assert calibration_error(confidences, right) == pytest.approx(0.16)


def test_calibration_error_at_the_ends():
    assert calibration_error([1.0, 0.0], [True, False]) == 0.0
    assert calibration_error([1.0, 1.0], [False, False]) == 1.0
    assert calibration_error([], []) == 0.0
    # 0.3 and 0.7 fall into the bins that start there, whatever their binary fractions.
    assert calibration_error([0.3, 0.39], [False, True]) == pytest.approx(0.155)


def test_figures_of_a_handful():
    srgb, unknown = "srgb_rec709_scene", "unknown"
    outcomes = [
        outcome(case("colour", srgb), 0.99, srgb, "settled"),
        outcome(case("colour", srgb), 0.99, "lin_rec709_scene", "settled"),  # wrong space
        outcome(case("colour", unknown), 0.9, srgb, "settled"),  # nothing told it
        outcome(case("data", "data"), 0.02, "data", "settled"),
        outcome(case("data", "data"), 0.9, srgb, "likely"),  # wrong kind
        outcome(case("data", "data"), 0.6, unknown, "unknown", "lin_rec709_scene"),
        outcome(case("colour", srgb), 0.4, unknown, "unknown", "data"),
        outcome(case("colour", srgb), 0.05, "data", "settled"),  # wrong kind, settled
    ]
    found = metrics.figures(outcomes, likely=0.8)
    assert found.count == 8
    assert found.kind_right == pytest.approx(4 / 6)
    assert found.kind_undecided == pytest.approx(2 / 8)
    assert found.told == 7
    assert found.reading_right == pytest.approx(2 / 5)
    assert found.reading_unknown == pytest.approx(2 / 7)
    assert found.colour_told == 4
    assert found.space_right == pytest.approx(1 / 4)
    assert found.unknown == pytest.approx(2 / 8)
    assert found.settled == pytest.approx(5 / 8)
    assert (found.settled_wrong, found.settled_untold) == (2, 1)
    # P(colour) by bin: 0.02 and 0.05 (1 of 2 colour), 0.4 (1 of 1), 0.6 (0 of 1), 0.9 to 0.99
    # (3 of 4): |0.07 - 1| + |0.4 - 1| + |0.6 - 0| + |3.78 - 3| = 2.91, over 8 pictures
    assert found.kind_calibration == pytest.approx(2.91 / 8)
    assert [o.colour for o in metrics.worst(outcomes)] == [0.05, 0.9, 0.6, 0.4]


def test_scene_and_display_are_both_right_where_a_header_leaves_it_open():
    plate = case("colour", "srgb_rec709_scene", accepted=("srgb_rec709_display",))
    assert metrics.is_right("srgb_rec709_display", plate)
    assert not metrics.is_right("srgb_p3d65_display", plate)


def test_probability_of_colour_is_what_data_leaves():
    judged = Judgement(
        reading="unknown",
        standing="unknown",
        confidence=0.4,
        candidates=(Candidate("srgb_rec709_scene", 0.4), Candidate("data", 0.3)),
    )
    found = metrics.outcome_of(case("colour", "unknown"), judged)
    assert found.colour == pytest.approx(0.7)
    assert found.first == "srgb_rec709_scene"
    nothing = Judgement(reading="unknown", standing="unknown", confidence=0.0, candidates=())
    assert metrics.outcome_of(case("colour", "unknown"), nothing).colour == 0.5


def test_confusion_tables():
    outcomes = [
        outcome(case("data", "data", subject="packed"), 0.9, "srgb_rec709_scene", "likely"),
        outcome(case("data", "data", subject="packed"), 0.5, "unknown", "unknown"),
    ]
    assert metrics.by_subject(outcomes, 0.8) == {
        "data: packed": {"colour": 1, "data": 0, "undecided": 1}
    }
    assert metrics.by_space(outcomes) == {
        ("data", "srgb_rec709_scene"): 1,
        ("data", "unknown"): 1,
    }
