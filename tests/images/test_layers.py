"""Layers, views and levels of OpenEXR files as the OpenEXR package writes them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from tests.images.parts import one_part, several

from primecoat.images.colour_layers import colour_layers
from primecoat.images.header import PartHeader
from primecoat.images.layers import layers_of, main_layer
from primecoat.images.read_header import read_header

COLOUR, GREY, DATA, OPEN = "colour", "grey", "data", "open"
ALPHA = ("a", "alpha")


def part(channels: str, *views: str) -> PartHeader:
    words = [word.partition(":") for word in channels.split()]
    return PartHeader(
        name="",
        channels=tuple(name for name, *_ in words),
        pixel_types=tuple(kind or "half" for *_, kind in words),
        views=views,
    )


@pytest.mark.parametrize(
    ("channels", "expected"),
    [
        ("A B G R", {"R G B A": COLOUR}),
        ("N R G B A", {"R G B A": COLOUR, "N": DATA}),
        ("B G R Z:float ZBack:float", {"R G B": COLOUR, "Z ZBack": DATA}),
        ("A AB AG AR B G R", {"R G B A AB AG AR": COLOUR}),
        ("A Y", {"Y A": GREY}),
        ("BY RY Y", {"Y RY BY": COLOUR}),
        ("B G R Y", {"R G B": COLOUR, "Y": OPEN}),
        ("red green blue", {"red green blue": COLOUR}),
        ("B:uint32 G:uint32 R:uint32", {"B G R": DATA}),
        ("id:uint32 other:uint32", {"id": DATA, "other": DATA}),
        ("X Y Z", {"X Y Z": OPEN}),
        ("N.X N.Y N.Z", {"N.X N.Y N.Z": DATA}),
        ("a.B a.G a.R b.X b.Y", {"a.R a.G a.B": COLOUR, "b.X b.Y": DATA}),
        ("flow.R flow.G", {"flow.R flow.G": OPEN}),
        ("A", {"A": DATA}),
        ("UV.U UV.V", {"UV.U UV.V": DATA}),
        ("a.b.R a.b.G a.b.B", {"a.b.R a.b.G a.b.B": COLOUR}),
    ],
)
def test_layers(channels: str, expected: dict[str, str]):
    found = layers_of(part(channels))
    assert {" ".join(layer.channels): layer.kind for layer in found} == expected
    assert sorted(c for layer in found for c in layer.channels) == sorted(part(channels).channels)


def test_no_channel_is_lost_or_shared():
    """Whatever names and types come together, every channel is in one layer."""
    pick = np.random.default_rng(4)
    names = part("R G B A Y RY BY X Z N id AR a.R a.G a.B a.A a.X a.Y b.Z v.R a.v.R red").channels
    for _ in range(400):
        chosen = pick.permutation(names)[: pick.integers(1, len(names))]
        kinds = pick.choice(["half", "float", "uint32"], len(chosen))
        made = PartHeader(
            name="", channels=tuple(chosen), pixel_types=tuple(kinds), views=("u", "v")
        )
        found = [
            pair
            for layer in layers_of(made)
            for pair in zip(layer.channels, layer.pixel_types, strict=True)
        ]
        assert sorted(found) == sorted(zip(chosen, kinds, strict=True))


def test_views_of_one_part(tmp_path: Path):
    """The view is the last word but one, and names without any are the first view's.

    Source: OpenEXR, *Storing Multi-View Images in OpenEXR Files*.
    """
    path = one_part(
        tmp_path / "a.exr",
        "R G B a.left.R a.left.G a.left.B left.R left.G left.B c.R c.G c.B",
        multiView=["right", "left"],
    )
    header = read_header(path)
    assert header.part_headers[0].views == ("right", "left")
    assert [(one.view, one.name) for one in layers_of(header.part_headers[0])] == [
        ("right", ""),
        ("left", ""),
        ("left", "a"),
        ("", "c"),
    ]


def test_view_of_each_part(tmp_path: Path):
    path = several(
        tmp_path / "a.exr", ("l", "R G B", {"view": "left"}), ("r", "R G B", {"view": "right"})
    )
    header = read_header(path)
    assert [layers_of(p)[0].view for p in header.part_headers] == ["left", "right"]


@pytest.mark.parametrize(
    ("channels", "main"),
    [
        ("N R G B A", ("R", "G", "B", "A")),
        ("a.R a.G a.B N.X N.Y N.Z", ("a.R", "a.G", "a.B")),
        ("Z:float id:uint R G B", ("R", "G", "B")),
        ("Y A Z:float", ("Y", "A")),
        ("id:uint Z:float", ("Z",)),
    ],
)
def test_main_layer(channels: str, main: tuple[str, ...], tmp_path: Path):
    header = read_header(one_part(tmp_path / "a.exr", channels))
    found = main_layer(header)
    assert found is not None
    assert found.channels == main


@pytest.mark.parametrize(
    ("size", "up", "expected"),
    [((64, 32), False, 7), ((37, 51), False, 6), ((37, 51), True, 7), ((1, 1), False, 1)],
)
def test_levels_of_a_tiled_part(size: tuple[int, int], up: bool, expected: int, tmp_path: Path):
    """OpenEXR *Technical Introduction*: floor, or ceiling, of log2 of the longer side, plus one."""
    tiles = OpenEXR.TileDescription()
    tiles.xSize = tiles.ySize = 16
    tiles.mode = OpenEXR.LevelMode.MIPMAP_LEVELS
    if up:
        tiles.roundingMode = OpenEXR.LevelRoundingMode.ROUND_UP
    pixels = np.ones((*size, 3), np.float16)
    head = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.tiledimage, "tiles": tiles}
    path = tmp_path / "a.exr"
    OpenEXR.File(head, {"RGB": pixels}).write(str(path))
    header = read_header(path)
    assert (header.parts, header.levels) == (1, expected)


@pytest.mark.parametrize(
    "names",
    [
        ("Albedo.B", "Albedo.G", "Albedo.R", "B", "G", "R"),
        ("A", "Albedo.B", "Albedo.G", "Albedo.R", "B", "G", "R"),
        ("N.X", "N.Y", "N.Z", "R", "G", "B"),
        ("coat.Y", "Y"),
        ("Z", "coat.red", "coat.green", "coat.blue", "coat.alpha", "Y", "A"),
    ],
)
def test_reading_and_bake_see_the_same_layers_in_the_same_order(names: tuple[str, ...]):
    """The first colour layer of a bake is the one that the picture's reading is about."""
    part = PartHeader(name="", channels=names, pixel_types=("half",) * len(names))
    read = [
        (layer.name, tuple(n for n in layer.channels if n.split(".")[-1].lower() not in ALPHA))
        for layer in layers_of(part)
        if layer.kind in ("colour", "grey")
    ]
    baked = [(one.name, tuple(names[at] for at in one.channels)) for one in colour_layers(names)]
    assert baked == read
