"""The curve of a correction that works on, or gives, the numbers of a display."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from primecoat.colour.ocio import convert
from primecoat.colour.primaries import Triple
from primecoat.errors import UseError
from primecoat.renders.corrections.light import GREY, linear_beside
from primecoat.renders.corrections.model import Correction
from primecoat.renders.corrections.probe import CURVE_STOPS


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeCurve:
    """What becomes of greys.

    Parameters
    ----------
    by
        Whether ``given`` counts codes of a display, or stops of light from mid-grey.
    given
        The greys that go in.
    after
        Red, green and blue that come out.
    """

    by: Literal["codes", "stops"]
    given: tuple[float, ...]
    after: tuple[Triple, ...]


def code_curve(correction: Correction, config: str) -> CodeCurve | None:
    """Return the curve of a correction on display codes from 0 to 1, or on light that it shows.

    None if greys of light cannot be brought into the space that it works in.
    """
    given = CURVE_STOPS
    if correction.on_display[0]:
        given = np.linspace(0.0, 1.0, 41)
        before = np.repeat(given[:, None], 3, axis=1)
    else:
        linear = linear_beside(correction.works_in, config) or "lin_ap1_scene"
        light = np.repeat(GREY * np.exp2(given)[:, None], 3, axis=1)
        try:
            before = convert(light, linear, correction.works_in, config).astype(np.float64)
        except UseError:
            return None
    with np.errstate(all="ignore"):
        after = np.asarray(correction.run(before), dtype=np.float64).tolist()
    return CodeCurve(
        by="codes" if correction.on_display[0] else "stops",
        given=tuple(given.tolist()),
        after=tuple((red, green, blue) for red, green, blue in after),
    )
