"""Pictures of a stage as a display shows them: through a view."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import display_reading, display_xyz, through_view
from primecoat.proof.paths.carried import numbers_of
from primecoat.proof.paths.grade import Grade
from primecoat.proof.paths.picture import Rendered, difference
from primecoat.proof.paths.scenario import WORKING

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """A view of a display, of a config; with a match before it if one is given."""

    display: str
    view: str
    config: str
    grade: Grade | None = None

    @property
    def screen(self) -> str:
        """Color Interop ID of the display's codes."""
        return display_reading(self.display, self.view, self.config)

    def codes(self, numbers: Floats, basis: str) -> Floats:
        """Return display codes of linear numbers of a working space, shape (height, width, 3)."""
        held = np.ascontiguousarray(numbers, np.float32)
        if self.grade is not None:
            held = self.grade.on(held, WORKING[basis], self.config)
        return through_view(held, WORKING[basis], self.display, self.view, self.config)

    def light(self, codes: Floats) -> Floats:
        """Return X, Y, Z of the light that codes make on the display; white Y 1 = 100 cd/m²."""
        return display_xyz(codes, self.display, self.view, self.config)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A picture by one basis, at an exposure, through a view."""

    basis: str
    exposure: float
    sight: Sight

    def numbers(self, picture: Rendered) -> Floats:
        """Return linear numbers of the working space; those of AP1 for the spectral picture."""
        basis = "ap1" if self.basis == "spectral" else self.basis
        return numbers_of(picture.xyz(self.basis) * self.exposure, basis)

    def codes(self, picture: Rendered) -> Floats:
        """Return display codes."""
        return self.sight.codes(
            self.numbers(picture), "ap1" if self.basis == "spectral" else self.basis
        )

    def light(self, picture: Rendered) -> Floats:
        """Return X, Y, Z of what is seen."""
        return self.sight.light(self.codes(picture))


def seen_difference(one: Rendered, by: Look, other: Rendered, by_other: Look) -> Floats:
    """Return CIEDE2000 through the view of each pixel of two pictures, shape (height, width)."""
    return difference(by.light(one), by_other.light(other))
