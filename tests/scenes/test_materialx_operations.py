"""Nodes between pictures and shaders of a MaterialX document that may not be kept exact."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from primecoat import workflow
from primecoat.images.oiio import write_pixels
from primecoat.report.html import report_page
from primecoat.report.survey_document import survey_document
from primecoat.scenes.formats import materialx

IMAGE = (
    '<image name="i" type="color3"><input name="file" type="filename" value="glaze_color.png" '
    'colorspace="srgb_texture"/></image>'
)


def document(nodes: str, shader: str = "", root: str = 'colorspace="lin_rec709"') -> str:
    slot = "" if shader else '<input name="base_color" type="color3" nodename="n"/>'
    return (
        f'<materialx version="1.39" {root}>{IMAGE}{nodes}'
        f'<standard_surface name="s" type="surfaceshader">{slot}{shader}</standard_surface>'
        '<surfacematerial name="glaze" type="material">'
        '<input name="surfaceshader" type="surfaceshader" nodename="s"/></surfacematerial>'
        "</materialx>"
    )


def products(folder: Path, text: str) -> list[dict[str, Any]]:
    write_pixels(folder / "glaze_color.png", np.full((4, 4, 3), 128, np.uint8))
    (folder / "tea.mtlx").write_text(text, encoding="utf-8")
    survey = workflow.survey(folder / "tea.mtlx")
    found: list[dict[str, Any]] = survey_document(survey)["products"]
    return found


def node(category: str, *inputs: str) -> str:
    return f'<{category} name="n" type="color3">{"".join(inputs)}</{category}>'


def fed(name: str, kind: str = "color3", source: str = "i") -> str:
    return f'<input name="{name}" type="{kind}" nodename="{source}"/>'


def said(name: str, kind: str, value: str, extra: str = "") -> str:
    return f'<input name="{name}" type="{kind}" value="{value}" {extra}/>'


LISTED = {
    "multiply": node("multiply", fed("in1"), said("in2", "color3", "0.6, 0.5, 0.4")),
    "saturate": node("saturate", fed("in"), said("amount", "float", "0.5")),
    "power": node("power", fed("in1"), said("in2", "float", "2.2")),
    "hsvadjust": node("hsvadjust", fed("in"), said("amount", "vector3", "0.1, 1, 1")),
    "luminance": node("luminance", fed("in")),
    "mix": node("mix", fed("fg"), fed("bg"), said("mix", "color3", "1, 0.5, 0")),
}


@pytest.mark.parametrize("category", LISTED)
def test_a_node_that_does_not_commute_is_listed(tmp_path: Path, category: str) -> None:
    """With its place, the picture that flows through it, why, and a figure."""
    (found,) = products(tmp_path, document(LISTED[category]))
    assert (found["operation"], found["owner"], found["slot"]) == (category, "glaze", "base_color")
    assert found["location"] == "tea.mtlx#/n"
    assert found["image"] == "glaze_color.png"
    assert found["why"]
    assert found["residual"]["p95"] > 0.001
    assert "20,000 reflectances" in found["residual"]["over"]


NOT_LISTED = {
    "add": node("add", fed("in1"), said("in2", "color3", "0.1, 0, 0")),
    "grey multiply": node("multiply", fed("in1"), said("in2", "color3", "0.5, 0.5, 0.5")),
    "one number": node("multiply", fed("in1"), said("in2", "float", "0.5")),
    "mix by one": node(
        "mix", fed("fg"), said("bg", "color3", "1, 0, 0"), said("mix", "float", "0.5")
    ),
    "invert": node("invert", fed("in")),
    "contrast": node("contrast", fed("in"), said("amount", "float", "2")),
    "ramp": node(
        "ramplr", said("valuel", "color3", "1, 0, 0"), said("valuer", "color3", "0, 0, 1")
    ),
    "spread to three": '<image name="o" type="float"><input name="file" type="filename" '
    'value="glaze_color.png"/></image><convert name="c" type="color3">'
    f"{fed('in', 'float', 'o')}</convert>" + node("multiply", fed("in1"), fed("in2", source="c")),
    "fallback": node("add", fed("in1"), said("in2", "color3", "0, 0, 0")),
}


@pytest.mark.parametrize("case", NOT_LISTED)
def test_a_node_that_commutes_is_not_listed(tmp_path: Path, case: str) -> None:
    """What treats all channels alike and in proportion is kept by converting each colour."""
    assert products(tmp_path, document(NOT_LISTED[case])) == []


def test_a_multiply_leaves_what_a_tint_leaves(tmp_path: Path) -> None:
    """Gains 1.2, 1, 0.8 at any scale: 1.5, 9.7, 35 % (docs/numbers.md); sRGB codes say the same."""
    (plain,) = products(tmp_path, document(LISTED["multiply"]))
    left = plain["residual"]
    assert (left["median"], left["p95"]) == pytest.approx((0.0145, 0.0975), abs=5e-4)
    coded = said("in2", "color3", "0.797738, 0.735357, 0.665185", 'colorspace="srgb_texture"')
    (found,) = products(tmp_path, document(node("multiply", fed("in1"), coded)))
    assert found["residual"]["p95"] == pytest.approx(left["p95"], rel=1e-3)


def test_what_cannot_be_worked_out_says_so(tmp_path: Path) -> None:
    """A connected amount, a working space that nobody says, and hue as numbers."""
    noise = '<noise2d name="z" type="float"/>'
    nodes = noise + node("saturate", fed("in"), fed("amount", "float", "z"))
    (found,) = products(tmp_path, document(nodes))
    assert found["residual"] is None
    assert found["unknown"] == "what feeds amount is not known beforehand"
    (found,) = products(tmp_path, document(LISTED["power"], root=""))
    assert found["residual"] is None
    assert "working space" in found["unknown"]
    assert products(tmp_path, document(NOT_LISTED["one number"], root="")) == []
    (found,) = products(tmp_path, document(node("rgbtohsv", fed("in"))))
    assert found["residual"] is None


def test_the_page_and_the_working_space_itself(tmp_path: Path) -> None:
    """The page names the node; a scene that is in the new space already has nothing over."""
    products(tmp_path, document(LISTED["saturate"]))
    page = report_page(workflow.survey(tmp_path / "tea.mtlx"))
    assert "What cannot be kept exact" in page
    assert "tea.mtlx#/n" in page
    assert products(tmp_path, document(LISTED["saturate"], root='colorspace="acescg"')) == []


def volume(colour: str, depth: str, weight: str) -> str:
    return (
        said("transmission_color", "color3", colour)
        + said("transmission_depth", "float", depth)
        + said("transmission", "float", weight)
    )


@pytest.mark.parametrize(
    ("shader", "count"),
    [
        (volume("0.9, 0.4, 0.1", "2", "1"), 1),
        (volume("0.5, 0.5, 0.5", "2", "1"), 0),
        (volume("0.9, 0.4, 0.1", "0", "1"), 0),
        (volume("0.9, 0.4, 0.1", "2", "0"), 0),
    ],
)
def test_transmission_colour_with_depth(tmp_path: Path, shader: str, count: int) -> None:
    """Listed where light goes a way through a coloured glaze; not if thin, grey or opaque."""
    found = products(tmp_path, document("", shader))
    assert [f["operation"] for f in found] == ["attenuation"] * count
    assert all(f["location"] == "tea.mtlx#/s/transmission_color" for f in found)


def test_a_node_inside_a_graph_is_listed_for_each_slot(tmp_path: Path) -> None:
    """One node that feeds two slots of one material is told of twice."""
    nodes = LISTED["power"]
    shader = fed("base_color", source="n") + fed("emission_color", source="n")
    path = tmp_path / "tea.mtlx"
    path.write_text(document(nodes, shader), encoding="utf-8")
    found = materialx.read(path, "tea.mtlx").operations
    assert sorted(o.slot for o in found) == ["base_color", "emissive"]
    data = document(nodes, fed("normal", source="n"))
    path.write_text(data, encoding="utf-8")
    assert materialx.read(path, "tea.mtlx").operations == ()
