"""Sets of maps of one material: what the members say of the odd one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from tests.reading.worlds import images_of
from tests.scenes import builders as b

from primecoat.images.oiio import write_pixels


def paint(seed: int = 3) -> np.ndarray:
    generator = np.random.default_rng(seed)
    noise = generator.normal(size=(64, 64, 2)).cumsum(axis=0).cumsum(axis=1)
    tone, other = ((n - n.min()) / np.ptp(n) for n in np.moveaxis(noise, 2, 0))
    colour = np.array([0.8, 0.5, 0.3]) * (0.3 + 0.6 * tone[..., None])
    colour = colour + 0.1 * other[..., None] * [0.2, 0.6, 1.0]
    return np.asarray(np.rint(255 * np.clip(colour, 0, 1)), dtype=np.uint8)


def grey(seed: int = 5, side: int = 64) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(size=(side, side)).cumsum(axis=0).cumsum(axis=1)
    level = (noise - noise.min()) / np.ptp(noise)
    return np.repeat(np.rint(255 * level).astype(np.uint8)[..., None], 3, axis=2)


def said(folder: Path, path: str) -> list[tuple[str, str]]:
    evidence = images_of(folder)[path].evidence
    return [(e.claim, e.words) for e in evidence if e.witness == "siblings"]


def test_grey_map_beside_the_coloured_one(tmp_path: Path):
    """A grey picture whose set has a coloured one is a map of it; a stranger's is not."""
    write_pixels(tmp_path / "bowl_one.png", paint())
    write_pixels(tmp_path / "bowl_two.png", grey())
    write_pixels(tmp_path / "kiln_two.png", grey())
    write_pixels(tmp_path / "bowl_far.png", grey(side=32))
    ((claim, words),) = said(tmp_path, "bowl_two.png")
    assert claim == "data"
    assert "bowl_one.png" in words
    assert said(tmp_path, "kiln_two.png") == []
    assert said(tmp_path, "bowl_far.png") == []


def test_only_coloured_one_beside_normals(tmp_path: Path):
    """The coloured member beside a normal map is the set's colour, unless there are two."""
    write_pixels(tmp_path / "bowl_one.png", paint())
    (tmp_path / "bowl_n.png").write_bytes(b.png_of(np.tile(b.normal_pixels(), (1, 1, 1))))
    size = images_of(tmp_path)["bowl_n.png"].record.header
    assert size is not None
    if (size.width, size.height) != (64, 64):
        write_pixels(tmp_path / "bowl_one.png", paint()[: size.height, : size.width])
    claims = [claim for claim, _ in said(tmp_path, "bowl_one.png")]
    assert claims == ["colour"]
    write_pixels(tmp_path / "bowl_more.png", paint(9)[: size.height, : size.width])
    assert said(tmp_path, "bowl_one.png") == []


def test_numbers_make_no_set(tmp_path: Path):
    """Pictures that are only counted through are no maps of one thing."""
    write_pixels(tmp_path / "asset_0136.png", paint())
    write_pixels(tmp_path / "asset_0137.png", grey())
    images = images_of(tmp_path)
    assert images
    for path in images:
        assert said(tmp_path, path) == []
