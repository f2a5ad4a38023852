"""Operations of looks that are no numbers, as OpenColorIO builds them."""

from __future__ import annotations

from pathlib import Path

import PyOpenColorIO as ocio
import pytest

from primecoat.colour.ocio.look_guard import (
    read_look_bytes,
    refuse_not_finite,
    refuse_not_finite_results,
)
from primecoat.errors import InputError

FILE = Path("a.ctf")


def test_numbers_in_groups_are_looked_at() -> None:
    """However deep they stand; sound ones pass, and operations without such numbers."""
    sound = ocio.GroupTransform([ocio.CDLTransform(), ocio.ExponentTransform()])
    refuse_not_finite(FILE, [sound])
    bad = ocio.MatrixTransform(offset=[float("inf"), 0, 0, 0])
    with pytest.raises(InputError, match="infinite or none"):
        refuse_not_finite(FILE, [ocio.GroupTransform([sound, ocio.GroupTransform([bad])])])


def test_results_are_looked_at() -> None:
    """A logarithm whose every number is sound, and which takes 0.18 beyond float32."""
    steep = ocio.LogAffineTransform(logSideSlope=[1e-3] * 3, direction=ocio.TRANSFORM_DIR_INVERSE)
    refuse_not_finite(FILE, [steep])
    config = ocio.Config.CreateRaw()
    with pytest.raises(InputError, match="infinite or none"):
        refuse_not_finite_results(FILE, config.getProcessor(steep))
    refuse_not_finite_results(FILE, config.getProcessor(ocio.CDLTransform()))


@pytest.mark.parametrize("number", ["1e5", "1.5E+12", ".5e10"])
def test_large_numbers_that_float32_holds_pass(number: str, tmp_path: Path) -> None:
    path = tmp_path / "a.cc"
    path.write_text(number, encoding="utf-8")
    assert read_look_bytes(path, "it") == number.encode()
