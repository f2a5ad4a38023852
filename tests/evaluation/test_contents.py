"""Generated pictures keep to the physics that their labels promise."""

from __future__ import annotations

import numpy as np
import pytest
from evaluation.contents import choose, maps, vectors
from evaluation.contents.content import Content


def _materials(count: int) -> list[tuple[Content, ...]]:
    return [choose.material(np.random.default_rng((3, n)))[1] for n in range(count)]


def _singles(count: int) -> list[Content]:
    return [choose.single(np.random.default_rng((4, n))) for n in range(count)]


def test_pictures_stay_in_the_range_that_they_claim():
    for content in [*_singles(150), *(c for found in _materials(40) for c in found)]:
        assert content.pixels.dtype == np.float32
        assert np.isfinite(content.pixels).all()
        assert 1 <= content.pixels.shape[2] <= 4
        if not content.unbounded:
            assert content.pixels.min() >= -1e-6
            assert content.pixels.max() <= 1 + 1e-6


def test_maps_of_one_material_are_of_one_size():
    for found in _materials(30):
        assert len({content.pixels.shape[:2] for content in found}) <= 1
        assert len({content.subject for content in found}) == len(found)


@pytest.mark.parametrize("seed", range(6))
def test_sound_normals_are_of_unit_length(seed: int):
    rng = np.random.default_rng(seed)
    surface = choose.SURFACES[seed](rng, (64, 64))
    found = vectors.tangent_vectors(rng, surface.height, 0.4)
    np.testing.assert_allclose(np.linalg.norm(found, axis=-1), 1.0, atol=1e-5)
    assert found[..., 2].min() > 0


def test_damaged_normals_are_what_the_curve_makes_of_sound_ones():
    """The flat normal (0.5, 0.5, 1) becomes 0.7354 (188 of 255) or 0.2140 (55 of 255) in x and y.

    Source of the curve: IEC 61966-2-1:1999.
    """
    found: dict[str, list[float]] = {"srgb_encoded": [], "srgb_decoded": [], "": []}
    for number in range(400):
        rng = np.random.default_rng((5, number))
        content = vectors.normals(rng, choose.SURFACES[number % 14](rng, (64, 64)))
        if content.pixels.shape[2] == 3:
            found[content.damage].append(float(np.median(content.pixels[..., :2])))
    assert np.median(found["srgb_encoded"]) == pytest.approx(0.7354, abs=0.01)
    assert np.median(found["srgb_decoded"]) == pytest.approx(0.2140, abs=0.01)
    assert np.median(found[""]) == pytest.approx(0.5, abs=0.01)


def test_environments_hold_light_beyond_white():
    bright = [c for c in _singles(400) if c.subject == "environment" and c.unbounded]
    assert len(bright) > 10
    assert np.median([float(c.pixels.max()) for c in bright]) > 5


def test_packed_channels_hold_their_own_maps():
    shapes = set()
    for number in range(80):
        rng = np.random.default_rng((6, number))
        content = maps.packed(rng, choose.SURFACES[number % 14](rng, (64, 64)))
        shapes.add(content.pixels.shape[2])
        assert (content.kind, content.slot) == ("data", "packed")
    assert shapes == {2, 3, 4}
