"""Corrections drawn at random, of kinds whose verdict is known from how they are made."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from tests.renders.correction_writers import (
    BRADFORD,
    REC709,
    Old,
    adaptation,
    cc,
    clf_matrix,
    cube_3d,
    entry,
    matrix_transform,
    of_ap1_in_rec709,
    saturation,
    spi1d,
)

from primecoat import corrections

SPACES = (
    "lin_rec709_scene",
    "lin_ap0_scene",
    "lin_p3d65_scene",
    "g22_rec709_scene",
    "Linear ARRI Wide Gamut 3",
    "Linear S-Gamut3",
)


def drawn(seed: int) -> Iterator[tuple[str, Old]]:
    """Yield one correction of each kind, with its verdict."""
    random = np.random.default_rng(seed)
    stay, go = "may stay", "must go"
    space = SPACES[seed % len(SPACES)]

    def near_one() -> float:
        return float(random.choice([0.5, 0.8, 0.97, 1.03, 1.3, 2.5]))

    def three(low: float, high: float) -> tuple[float, float, float]:
        red, green, blue = random.uniform(low, high, 3).tolist()
        return red, green, blue

    gains = np.exp2(three(-3, 3)).round(3).tolist()
    yield stay, Old(name="gains", file="a.toml", write=entry(f"gain = {gains}"), space=space)
    power = f"power = {near_one()}"
    yield go, Old(name="power", file="a.toml", write=entry(power), space=space)
    lift = f"offset = {random.choice([-1, 1]) * 10 ** random.uniform(-4, -1):.6f}"
    yield go, Old(name="lift", file="a.toml", write=entry(lift), space=space)
    stops = random.uniform(-5, 5)
    for log in ("ACEScct", "ACEScc"):
        offset = " ".join(f"{(stops + more) / 17.52:.8f}" for more in three(-1, 1))
        yield (
            stay,
            Old(name="offsets", file="a.cc", write=cc(offset=offset), space=log, clamp=False),
        )
        slope = " ".join([str(near_one())] * 3)
        yield (
            go,
            Old(
                name="slope", file="a.cc", write=cc(slope, "0.02 0.02 0.02"), space=log, clamp=False
            ),
        )
    gain, low, high = (2 ** random.uniform(*ends) for ends in ((-2, 2), (-1, 6.9), (7.01, 12)))
    short, long = spi1d(lambda x: gain * x, low), spi1d(lambda x: gain * x, high)
    yield go, Old(name="short table", file="a.spi1d", write=short, gives=REC709)
    yield stay, Old(name="long table", file="a.spi1d", write=long, gives=REC709)
    cube = cube_3d(lambda x: gain * x, low, 5)
    yield go, Old(name="small cube", file="a.cube", write=cube, gives=REC709)
    bradford = clf_matrix(adaptation(BRADFORD, three(0.5, 2)))
    yield stay, Old(name="adaptation", file="a.clf", write=bradford, gives=REC709)
    saturated = clf_matrix(saturation(near_one()))
    yield go, Old(name="saturation", file="a.clf", write=saturated, gives=REC709)
    other = matrix_transform(of_ap1_in_rec709(three(0.5, 2)))
    yield stay, Old(name="other primaries", file="a.yaml", write=other)


@pytest.mark.parametrize("seed", range(6))
def test_random_corrections(seed, tmp_path):
    count = 0
    for verdict, old in drawn(seed):
        path = tmp_path / old.file
        old.write(path)
        found = corrections(path, from_space=old.space, gives=old.gives, clamp=old.clamp).whole
        assert found.verdict == verdict, (old.name, old.space, found.reasons)
        count += 1
    assert count == 13
