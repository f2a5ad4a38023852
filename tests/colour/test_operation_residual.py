"""What is left over of node work, against NumPy alone, and which work commutes."""

from __future__ import annotations

import MaterialX as mx
import numpy as np
import pytest

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.colour.operation_residual import LeftOver, Operation, OperationInput, left_over
from primecoat.colour.operations import OPERATIONS
from primecoat.scenes.operations import REASONS, Fed, operation_of

REC709, AP1 = "lin_rec709_scene", "lin_ap1_scene"

TO_AP1 = np.array(
    [
        [0.6130973, 0.3395229, 0.0473793],
        [0.0701942, 0.9163556, 0.0134526],
        [0.0206156, 0.1095698, 0.8698151],
    ]
)
"""Rec.709 to AP1 by Bradford, from the primaries of ITU-R BT.709 and AMPAS S-2014-004; the digits
are written from memory."""

COLOUR = (0.9, 0.4, 0.1)


def left(category: str, *inputs: Fed) -> LeftOver | None:
    work = operation_of(category, "base_color", inputs)
    assert work is not None
    return left_over(work, REC709, AP1, DEFAULT_CONFIG)


def picture(name: str) -> Fed:
    return Fed(name, "color3")


def colour(name: str, *numbers: float) -> Fed:
    return Fed(name, "color3", numbers)


def number(name: str, value: float) -> Fed:
    return Fed(name, "float", (value,))


NOT_EXACT = {
    "multiply": (picture("in1"), colour("in2", *COLOUR)),
    "divide": (picture("in1"), colour("in2", *COLOUR)),
    "modulo": (picture("in1"), number("in2", 0.3)),
    "power": (picture("in1"), number("in2", 2.2)),
    "safepower": (picture("in1"), number("in2", 2.2)),
    "min": (picture("in1"), number("in2", 0.5)),
    "max": (picture("in1"), number("in2", 0.5)),
    "clamp": (picture("in"), number("high", 0.5)),
    "smoothstep": (picture("in"),),
    "remap": (picture("in"), colour("outhigh", *COLOUR)),
    "range": (picture("in"), number("gamma", 2.0)),
    "contrast": (picture("in"), colour("amount", *COLOUR)),
    "luminance": (picture("in"),),
    "saturate": (picture("in"), number("amount", 0.5)),
    "hsvadjust": (picture("in"), Fed("amount", "vector3", (0.1, 1.2, 1.0))),
    "colorcorrect": (picture("in"), number("saturation", 1.3)),
    "mix": (picture("fg"), picture("bg"), colour("mix", *COLOUR)),
    "burn": (colour("fg", 0.9, 0.8, 0.7), picture("bg"), number("mix", 0.5)),
    "dodge": (colour("fg", 0.5, 0.3, 0.1), picture("bg")),
    "screen": (picture("fg"), picture("bg")),
    "overlay": (picture("fg"), picture("bg")),
    "difference": (picture("fg"), picture("bg")),
    "sqrt": (picture("in"),),
    "exp": (picture("in"),),
    "ln": (picture("in"),),
    "floor": (picture("in"),),
    "ceil": (picture("in"),),
    "round": (picture("in"),),
    "fract": (picture("in"),),
}

EXACT = {
    "multiply": (picture("in1"), number("in2", 0.5)),
    "divide": (picture("in1"), number("in2", 0.5)),
    "power": (picture("in1"), number("in2", 1.0)),
    "safepower": (picture("in1"), number("in2", 1.0)),
    "remap": (
        picture("in"),
        number("outlow", 0.1),  # codespell:ignore outlow
        number("outhigh", 0.7),
    ),
    "range": (
        picture("in"),
        number("outlow", 0.1),  # codespell:ignore outlow
        number("outhigh", 0.7),
    ),
    "contrast": (picture("in"), number("amount", 1.5), colour("pivot", *COLOUR)),
    "saturate": (picture("in"), number("amount", 1.0)),
    "hsvadjust": (picture("in"), Fed("amount", "vector3", (0.0, 1.0, 0.7))),
    "colorcorrect": (picture("in"), number("gain", 1.3), number("exposure", 1.0)),
    "mix": (picture("fg"), picture("bg"), Fed("mix", "float")),
    "burn": (number("fg", 0.5), picture("bg")),
    "dodge": (number("fg", 0.5), picture("bg")),
    "screen": (number("fg", 0.5), picture("bg")),
    "difference": (colour("fg", 0.0, 0.0, 0.0), picture("bg")),
    "clamp": (picture("in"), number("high", 100.0)),
    "min": (picture("in1"), number("in2", 100.0)),
    "max": (picture("in1"), number("in2", 0.0)),
}


@pytest.mark.parametrize("category", NOT_EXACT)
def test_work_that_does_not_commute_leaves_something_over(category: str) -> None:
    """Each node works channel by channel and out of proportion, or weighs the old channels."""
    found = left(category, *NOT_EXACT[category])
    assert found is not None


@pytest.mark.parametrize("category", EXACT)
def test_work_that_commutes_is_left_out(category: str) -> None:
    """The same node with grey numbers treats all channels alike and in proportion."""
    assert left(category, *EXACT[category]) is None


def test_every_node_that_is_named_is_tried_and_is_a_node() -> None:
    """The categories are those of the MaterialX library's own node definitions."""
    document = mx.createDocument()
    mx.loadLibraries(mx.getDefaultDataLibraryFolders(), mx.getDefaultDataSearchPath(), document)
    nodes = {definition.getNodeString() for definition in document.getNodeDefs()}
    older = {"curveadjust"}  # MaterialX Specification 1.37, taken out later
    assert set(REASONS) - nodes == older
    assert set(REASONS) == set(NOT_EXACT) | older | {"rgbtohsv", "hsvtorgb"}
    assert set(NOT_EXACT) <= set(OPERATIONS)


SAMPLE = np.random.default_rng(0).random((20_000, 3))


def quantiles(used: np.ndarray, exact: np.ndarray) -> tuple[float, ...]:
    least = 0.01 * np.abs(exact).max(axis=1, keepdims=True)
    errors = np.abs(used - exact) / np.maximum(np.abs(exact), least)
    return tuple(np.quantile(errors, (0.5, 0.95, 1.0)))


def figures(found: LeftOver | None) -> tuple[float, ...]:
    assert found is not None
    assert found.residual is not None
    return found.residual.median, found.residual.p95, found.residual.maximum


INDEPENDENT = {
    "multiply": lambda x, matrix: x * (COLOUR @ matrix.T),
    "power": lambda x, matrix: x**2.2,
    "saturate": lambda x, matrix: 0.5 * x + 0.5 * (x @ (0.2722287, 0.6740818, 0.0536895))[:, None],
    "contrast": lambda x, matrix: (x - 0.5) * COLOUR + 0.5,
}


@pytest.mark.parametrize("category", INDEPENDENT)
def test_residual_is_that_of_numpy_alone(category: str) -> None:
    """The formulas of *MaterialX Specification 1.39*, written here once more."""
    work = INDEPENDENT[category]
    exact = work(SAMPLE, np.eye(3)) @ TO_AP1.T
    used = work(SAMPLE @ TO_AP1.T, TO_AP1)
    assert figures(left(category, *NOT_EXACT[category])) == pytest.approx(
        quantiles(used, exact), rel=2e-3
    )


def test_attenuation_is_exact_at_one_depth_only() -> None:
    """Beer's law, as glTF ``KHR_materials_volume`` has it: the colour to the power of way/depth."""
    ways = 2.0 * np.random.default_rng(100).random((20_000, 3))[:, :1]
    exact = (np.array(COLOUR) ** ways) @ TO_AP1.T
    used = (COLOUR @ TO_AP1.T) ** ways
    inputs = (
        OperationInput(name="in", value=COLOUR, colour=True),
        OperationInput(name="depths", value=(1.0,), width=1),
    )
    found = left_over(Operation(kind="attenuation", inputs=inputs), REC709, AP1, DEFAULT_CONFIG)
    assert figures(found) == pytest.approx(quantiles(used, exact), rel=2e-3, abs=1e-6)
    assert found is not None
    assert "depths" in found.over
    grey = (OperationInput(name="in", value=(0.5, 0.5, 0.5), colour=True), inputs[1])
    same = Operation(kind="attenuation", inputs=grey)
    assert left_over(same, REC709, AP1, DEFAULT_CONFIG) is None


def test_no_figure_is_given_where_an_amount_is_fed_by_something() -> None:
    """A connected amount is not known; a colour's own space may not be either."""
    found = left("saturate", picture("in"), Fed("amount", "float"))
    assert found is not None
    assert (found.residual, found.unknown) == (None, "what feeds amount is not known beforehand")
    astray = left("multiply", picture("in1"), Fed("in2", "color3", COLOUR, space="unknown"))
    assert astray is not None
    assert astray.unknown == "the space of in2 is not known"
    hue = left("rgbtohsv", picture("in"))
    assert hue is not None
    assert hue.residual is None


def test_no_change_of_space_leaves_nothing_over() -> None:
    work = operation_of("power", "base_color", NOT_EXACT["power"])
    assert work is not None
    assert left_over(work, AP1, AP1, DEFAULT_CONFIG) is None
