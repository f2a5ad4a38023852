"""Real pictures reach the evaluation with the labels that they have."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from evaluation.judging import MODES, judge
from evaluation.real import real_stock
from tests.open_data.pictures import LABELS, labelled_pictures

pytestmark = pytest.mark.open_data


def test_every_known_label_becomes_a_case_that_is_read(tmp_path: Path):
    labels = [label for _, label in labelled_pictures(LABELS) if label.truth != "unknown"]
    stock = real_stock(tmp_path, held_out=False)
    assert Counter((c.kind, c.space) for c in stock.cases) == Counter(
        (label.truth, label.space) for label in labels
    )
    outcomes = judge(stock, MODES[0])
    assert [o.case for o in outcomes] == list(stock.cases)
    assert all(record.measures for record in stock.inventory.images)
