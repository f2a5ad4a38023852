"""Channels and parts: colour is found by name in every part, all else stays bit for bit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import OpenEXR
import pytest
from tests.bake.files import FLOAT32, HALF_ROUNDING, bake, headers_of, planes_of
from tests.bake.independent import converted

from primecoat.errors import RefusedError

READING, TO = "lin_rec709_scene", "lin_ap1_scene"
SIZE = (24, 40)


def plane(kind: type, seed: int, size: tuple[int, int] = SIZE) -> np.ndarray:
    """Return a plane of random numbers; of whole numbers every bit pattern may come up."""
    chance = np.random.default_rng(seed)
    if kind is np.uint32:
        made = chance.integers(0, 2**32, size, dtype=np.uint64).astype(np.uint32)
        # the bits of signalling and quiet NaN, of both infinities, and what float32 rounds
        made[0, :7] = [0x7F800001, 0xFF800001, 0x7FC00000, 0x7F800000, 0xFF800000, 2**24 + 1, 1]
        return made
    return np.asarray(chance.random(size), kind)


def planes(**kinds: type) -> dict[str, np.ndarray]:
    """Return planes by name; two underscores stand for the dot of a layer."""
    return {
        name.replace("__", "."): plane(kind, seed)
        for seed, (name, kind) in enumerate(kinds.items())
    }


def write(path: Path, *parts: dict[str, np.ndarray], **header: Any) -> Path:
    """Write an OpenEXR file by OpenEXR's own library."""
    made = []
    for number, channels in enumerate(parts):
        own = {"type": OpenEXR.scanlineimage, "compression": OpenEXR.ZIP_COMPRESSION, **header}
        made.append(OpenEXR.Part(own, dict(channels), f"part{number}"))
    OpenEXR.File(made).write(str(path))
    return path


def same(found: np.ndarray, wanted: np.ndarray) -> bool:
    """Whether two planes hold the same bits in the same type."""
    return found.dtype == wanted.dtype and found.tobytes() == np.ascontiguousarray(wanted).tobytes()


def is_baked(found: dict[str, np.ndarray], source: dict[str, np.ndarray], layer: str = "") -> bool:
    """Whether a layer's colour is the independent conversion of the source's."""
    names = [f"{layer}{letter}" for letter in "RGB"]
    before = np.stack([source[name] for name in names], axis=-1).astype(np.float64)
    after = np.stack([found[name] for name in names], axis=-1)
    slack = HALF_ROUNDING if after.dtype == np.float16 else 0.0
    wanted = converted(before, READING, TO)
    return bool((np.abs(after - wanted) <= np.abs(wanted) * slack + FLOAT32).all())


H, F, U = np.float16, np.float32, np.uint32


@pytest.mark.parametrize(
    "kinds",
    [
        {"N__X": H, "N__Y": H, "N__Z": H, "R": H, "G": H, "B": H, "A": H},
        {"R": H, "G": H, "B": H, "Z": F},
        {"R": F, "G": F, "B": F, "Z": F},
        {"R": H, "G": H, "B": H, "A": H, "Z": F, "ID": U},
        {"ID": U, "R": H, "G": H, "B": H, "object__id": U, "v__u": F},
        {"a__x": H, "b__x": H, "c__x": H, "d__x": H, "e__x": F, "R": H, "G": H, "B": H, "z__x": F},
    ],
    ids=["N then RGBA", "RGBZ mixed", "RGBZ float", "whole numbers", "many whole", "more than 5"],
)
@pytest.mark.parametrize("compression", ["zip", "zips", "piz", "rle", "none"])
def test_only_colour_is_converted(tmp_path: Path, kinds: dict[str, type], compression: str):
    """Every channel beside R, G and B keeps its type and each of its bits; colour is right."""
    source = planes(**kinds)
    picture = write(tmp_path / "in.exr", source)
    target, _ = bake(picture, "out.exr", READING, TO, compression=compression)
    found = planes_of(target)
    assert sorted(found) == sorted(source)
    for name in set(source) - set("RGB"):
        assert same(found[name], source[name]), name
    assert is_baked(found, source)
    assert {found[name].dtype for name in "RGB"} == {np.dtype(kinds["R"])}


@pytest.mark.parametrize("tile", [16, 32])
def test_whole_numbers_in_tiles(tmp_path: Path, tile: int):
    """Whole numbers survive tiles as they survive rows, also where tiles are cut by the edge."""
    source = planes(R=H, G=H, B=H, ID=U)
    target, _ = bake(write(tmp_path / "in.exr", source), "out.exr", READING, TO, tile=tile)
    assert headers_of(target)[0]["type"] == OpenEXR.tiledimage
    assert same(planes_of(target)["ID"], source["ID"])
    assert is_baked(planes_of(target), source)


def test_whole_numbers_have_no_mean(tmp_path: Path):
    """Smaller levels of IDs would be IDs of nothing: refused, and nothing is left behind."""
    picture = write(tmp_path / "in.exr", planes(R=H, G=H, B=H, ID=U))
    with pytest.raises(RefusedError, match="IDs"):
        bake(picture, "out.exr", READING, TO, levels="yes")
    assert [path.name for path in tmp_path.iterdir()] == ["in.exr"]


def test_parts_that_are_all_named_rgb(tmp_path: Path):
    """Of three parts R, G, B only the first is colour; the others are the same bits as before."""
    sources = [planes(R=H, G=H, B=H), planes(R=F, G=F, B=F), planes(R=H, G=H, B=H, ID=U)]
    sources[2]["R"][0, 0] = np.nan
    target, _ = bake(write(tmp_path / "in.exr", *sources), "out.exr", READING, TO)
    assert is_baked(planes_of(target, 0), sources[0])
    for number in (1, 2):
        found = planes_of(target, number)
        assert sorted(found) == sorted(sources[number])
        assert all(same(found[name], sources[number][name]) for name in found)
    assert [header["name"] for header in headers_of(target)] == ["part0", "part1", "part2"]
    stated = [header.get("colorInteropID") for header in headers_of(target)]
    assert stated == [TO, None, None]


def test_layers_that_are_named_are_baked_too(tmp_path: Path):
    """A layer in another part is converted from its own reading where somebody says what it is."""
    sources = [planes(R=H, G=H, B=H, coat__R=H, coat__G=H, coat__B=H), planes(R=F, G=F, B=F)]
    picture = write(tmp_path / "in.exr", *sources)
    target, _ = bake(picture, "out.exr", READING, TO, {(0, "coat"): READING, (1, ""): READING})
    assert is_baked(planes_of(target, 0), sources[0])
    assert is_baked(planes_of(target, 0), sources[0], "coat.")
    assert is_baked(planes_of(target, 1), sources[1])
    assert [header["colorInteropID"] for header in headers_of(target)] == [TO, TO]
    assert "primecoat:carried" not in headers_of(target)[0]


def test_colour_layers_that_are_left_are_named(tmp_path: Path):
    """One ID stands for a whole part, so that a layer it does not hold for is written beside it."""
    source = planes(R=H, G=H, B=H, coat__R=H, coat__G=H, coat__B=H)
    target, _ = bake(write(tmp_path / "in.exr", source), "out.exr", READING, TO)
    found = planes_of(target)
    assert all(same(found[name], source[name]) for name in source if name.startswith("coat"))
    assert headers_of(target)[0]["primecoat:carried"] == "coat"


def test_parts_keep_windows_and_attributes(tmp_path: Path):
    """Data and display windows, and what is written about a part, are as before."""
    window = (np.array([3, 4], np.int32), np.array([42, 27], np.int32))
    frame = (np.array([0, 0], np.int32), np.array([63, 63], np.int32))
    header = {
        "dataWindow": window,
        "displayWindow": frame,
        "owner": "the pottery",
        "comments": "second firing",
        "shots": 7,
        "exposureTime": 0.25,
        "worldToCamera": np.arange(16, dtype=np.float32).reshape(4, 4),
        "pixelAspectRatio": 2.0,
    }
    sources = [planes(R=H, G=H, B=H, ID=U), planes(Z=F)]
    picture = write(tmp_path / "in.exr", *sources, **header)
    target, _ = bake(picture, "out.exr", READING, TO)
    for before, after in zip(headers_of(picture), headers_of(target), strict=True):
        for name in (*header, "type", "name"):
            if isinstance(before[name], tuple):
                assert all(map(np.array_equal, before[name], after[name])), name
            else:
                assert np.array_equal(before[name], after[name]), name


def test_a_part_that_is_carried_keeps_its_id(tmp_path: Path):
    """Only the part that was converted gets a new ID; ``data`` stays data."""
    sources = [planes(R=H, G=H, B=H), planes(Z=F)]
    picture = write(tmp_path / "in.exr", *sources, colorInteropID="data")
    target, _ = bake(picture, "out.exr", READING, TO)
    assert [header["colorInteropID"] for header in headers_of(target)] == [TO, "data"]


def test_grey_becomes_colour_where_neutrals_are_no_equal_numbers(tmp_path: Path):
    """In CIE XYZ neutral grey is three different numbers, so Y becomes R, G and B; A stays."""
    source = planes(Y=H, A=H)
    target, _ = bake(write(tmp_path / "in.exr", source), "out.exr", READING, "lin_ciexyzd65_scene")
    found = planes_of(target)
    assert sorted(found) == sorted("RGBA")
    assert same(found["A"], source["A"])
    grey = np.repeat(source["Y"][..., None], 3, axis=-1).astype(np.float64)
    wanted = converted(grey, READING, "lin_ciexyzd65_scene")
    after = np.stack([found[name] for name in "RGB"], axis=-1)
    assert (np.abs(after - wanted) <= np.abs(wanted) * HALF_ROUNDING + FLOAT32).all()


@pytest.mark.parametrize("ending", [".png", ".tif"])
@pytest.mark.parametrize("kinds", [{"Z": F}, {"N__X": H, "N__Y": H, "N__Z": H}])
def test_a_format_that_would_lose_channels_is_refused(tmp_path: Path, ending: str, kinds):
    """Depth or vectors are not squeezed into 16 bits, nor dropped."""
    picture = write(tmp_path / "in.exr", planes(R=H, G=H, B=H, **kinds))
    with pytest.raises(RefusedError, match="channels"):
        bake(picture, f"out{ending}", READING, TO, number="16-bit")
    assert [path.name for path in tmp_path.iterdir()] == ["in.exr"]


def test_a_format_that_would_lose_parts_is_refused(tmp_path: Path):
    """Of two parts none is dropped."""
    picture = write(tmp_path / "in.exr", planes(R=H, G=H, B=H), planes(Z=F))
    for name in ("out.png", "out.tif"):
        with pytest.raises(RefusedError):
            bake(picture, name, READING, TO, number="16-bit")
    assert [path.name for path in tmp_path.iterdir()] == ["in.exr"]
