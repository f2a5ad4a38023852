"""A bake writes out what a Radiance header says, also where the space fits already.

Source: G. Ward, *The RADIANCE Picture File Format*: EXPOSURE and COLORCORR are what the original
was multiplied by, so the original is the stored number divided by the product of all such lines.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from tests.images import written as w
from tests.plan import small as s

from primecoat import workflow
from primecoat.plan.operations import describe

AP1 = "PRIMARIES=0.713 0.293 0.165 0.830 0.128 0.044 0.32168 0.33767"
STORED = 128 * 2.0 ** (129 - 136)
"""RGBE: mantissa times 2 to the power of exponent less 136."""


def sky(folder: Path, *lines: str, slot: str = "environment") -> Path:
    """Write a sheet with one Radiance picture in a slot."""
    (folder / "sky.hdr").write_bytes(w.radiance(*lines))
    return s.sheet(folder / "tea.csv", f"sky.hdr,sky,{slot},rgb,,")


@pytest.mark.parametrize(
    ("lines", "factors"),
    [
        (("EXPOSURE=0.1",), (0.1, 0.1, 0.1)),
        (("EXPOSURE=0.5", "EXPOSURE=0.25", "COLORCORR=1 2 4"), (0.125, 0.25, 0.5)),
    ],
)
def test_a_stated_exposure_is_divided_out_though_the_space_fits(
    tmp_path: Path, lines: tuple[str, ...], factors: tuple[float, ...]
) -> None:
    """Read back by OpenEXR's own library: the radiance that the header means; then all is done."""
    scene = sky(tmp_path, AP1, *lines)
    made = s.plan(scene, "bake")
    assert made.held == ()
    assert s.targets(made) == [f"sky_{s.AP1}.exr", "tea.primed.csv"]
    assert "the stated exposure divided out" in describe(made.operations[0])
    workflow.apply(made)
    with OpenEXR.File(str(tmp_path / f"sky_{s.AP1}.exr")) as file:
        baked = file.channels()["RGB"].pixels
    expected = np.broadcast_to(STORED / np.array(factors), (2, 2, 3))
    np.testing.assert_allclose(baked, expected, rtol=2**-11)  # half float's rounding
    after = workflow.survey(tmp_path / "tea.primed.csv", verify=True, workers=1)
    assert "PC315" not in [f.code for f in after.findings]
    assert workflow.plan(after, "bake").operations == ()


@pytest.mark.parametrize(
    ("lines", "slot", "codes", "words"),
    [
        ((AP1,), "environment", ["PC315"], "so no bake is planned"),
        (("EXPOSURE=0.1",), "roughness", ["PC315"], "data is never baked"),
        ((AP1, "EXPOSURE=0.1"), "environment", ["PC315"], "The bake route writes it out plainly"),
        (("EXPOSURE=0.1", "COLORCORR=10 10 10"), "environment", [], ""),
    ],
)
def test_the_finding_promises_what_the_bake_does(
    tmp_path: Path, lines: tuple[str, ...], slot: str, codes: list[str], words: str
) -> None:
    """A bake is named as the remedy where one is planned; lines that cancel out say nothing."""
    found = workflow.survey(sky(tmp_path, *lines, slot=slot), verify=True, workers=1)
    said = [f for f in found.findings if f.code == "PC315"]
    assert [f.code for f in said] == codes
    assert all(words in f.remedy for f in said)
    bakes = [t for t in s.targets(workflow.plan(found, "bake")) if t.endswith(".exr")]
    assert bool(bakes) == ("writes it out" in words)
