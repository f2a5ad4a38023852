"""The additive model: known lines come back, and facts that say the same share their part."""

from __future__ import annotations

import numpy as np
from evaluation.additive import fit


def made(count: int, seed: int = 3) -> tuple[list[dict[str, float]], np.ndarray, np.ndarray]:
    """Return facts, labels drawn by known log odds, and those log odds."""
    generator = np.random.default_rng(seed)
    steep, useless = generator.uniform(-1, 1, count), generator.uniform(-1, 1, count)
    odds = 0.5 + 3.0 * steep
    labels = (generator.random(count) < 1 / (1 + np.exp(-odds))).astype(float)
    rows = [{"steep": s, "useless": u} for s, u in zip(steep, useless, strict=True)]
    return rows, labels, odds


def test_known_lines_come_back():
    """On 20,000 draws the log odds are met within 0.25, and the useless fact stays level."""
    rows, labels, odds = made(20_000)
    found = fit(rows, labels, np.ones(len(rows)))
    assert float(np.abs(found.log_odds(rows) - odds).mean()) < 0.25
    assert float(np.ptp(found.parts["useless"])) < 0.3
    assert float(np.ptp(found.parts["steep"])) > 4.5


def test_twins_are_not_counted_twice():
    """A fact and its copy share what one of them alone would say."""
    rows, labels, _ = made(20_000)
    alone = fit(rows, labels, np.ones(len(rows)))
    doubled = [{**row, "copy": row["steep"]} for row in rows]
    both = fit(doubled, labels, np.ones(len(rows)))
    spread = float(np.ptp(both.parts["steep"]) + np.ptp(both.parts["copy"]))
    assert abs(spread - float(np.ptp(alone.parts["steep"]))) < 0.5
    assert float(np.abs(both.log_odds(doubled) - alone.log_odds(rows)).max()) < 0.5


def test_weights_count_pictures():
    """A picture of weight 3 counts as three pictures."""
    rows, labels, _ = made(600)
    heavy = fit(rows, labels, np.full(len(rows), 3.0))
    thrice = fit(rows * 3, np.tile(labels, 3), np.ones(3 * len(rows)))
    assert np.allclose(heavy.log_odds(rows), thrice.log_odds(rows), atol=1e-5)


def test_chances_are_calibrated_on_fresh_draws():
    """Among fresh draws, the mean chance of each tenth is the share of colour within 0.05."""
    rows, labels, _ = made(20_000)
    found = fit(rows, labels, np.ones(len(rows)))
    fresh, truth, _ = made(20_000, seed=4)
    chance = 1 / (1 + np.exp(-found.log_odds(fresh)))
    for part in np.array_split(np.argsort(chance), 10):
        assert abs(float(chance[part].mean() - truth[part].mean())) < 0.05
