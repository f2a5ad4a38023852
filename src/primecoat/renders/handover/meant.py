"""The numbers that a file is meant to hold: light converted or seen, alpha treated as it wants.

Alpha is data and never converted. Colour in OpenEXR is multiplied by alpha, in PNG and TIFF it is
not; it is divided by alpha only before a view, and colour under zero alpha is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from primecoat.bake.stored_numbers import Tally, within_half
from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert, convert_rows
from primecoat.config.look_view import through_look
from primecoat.errors import RefusedError
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.renders.frame import Frame, read_bands_with_alpha
from primecoat.renders.handover.recipe import ACESCG, Recipe

Floats = NDArray[np.float32]


@dataclass(slots=True)
class Counts:
    """What was met, counted in values (one channel of one pixel).

    Parameters
    ----------
    colour, alpha
        Of colour and of alpha.
    light_without_cover
        Pixels with light where alpha is 0: a glow, which PNG and TIFF show only where their
        reader adds colour under zero alpha.
    rounding
        Greatest distance between what was meant and what is stored, in steps of the stored
        numbers; those that were cut off are not counted.
    """

    colour: Tally = field(default_factory=Tally)
    alpha: Tally = field(default_factory=Tally)
    light_without_cover: int = 0
    rounding: float = 0.0


@dataclass(frozen=True, slots=True)
class Meant:
    """The numbers that a file is meant to hold.

    Parameters
    ----------
    frame
        The master.
    recipe
        What is made of it.
    """

    frame: Frame
    recipe: Recipe

    @property
    def alpha(self) -> bool:
        """Whether alpha is among the numbers."""
        return self.frame.alpha and not self.recipe.alpha_dropped

    def rows(self, counts: Counts) -> Iterator[tuple[Floats, Floats | None]]:
        """Yield colour (rows, width, 3) and alpha (rows, width) from top to bottom.

        Raises
        ------
        RefusedError
            If something is not finite, or half cannot hold it, and nobody asked to clamp.
        """
        frame = self.frame
        for first, colour, alpha in read_bands_with_alpha(frame):
            self._sound(colour, alpha, counts, first)
            if self.as_it_is:
                yield colour, alpha if self.alpha else None
                continue
            light, space, multiplied = self._light(colour)
            if alpha is not None and self.recipe.over is not None:
                light = self._over(light, alpha, space, multiplied=multiplied)
                alpha = None
            elif self.recipe.drop_alpha:
                alpha = None
            if self.recipe.kind.seen:
                yield self._seen(light, alpha, space, counts, multiplied=multiplied), alpha
            else:
                yield self._in_space(light, alpha, space, counts, multiplied=multiplied), alpha

    @property
    def as_it_is(self) -> bool:
        """Whether the master has been through its view for this very display."""
        return self.frame.space == self.recipe.kind.space and self.recipe.kind.seen

    def _sound(self, colour: Floats, alpha: Floats | None, counts: Counts, first: int) -> None:
        """Count what is not finite; refuse it, or put finite numbers there."""
        for values, tally in ((colour, counts.colour), (alpha, counts.alpha)):
            if values is None or np.isfinite(values).all():
                continue
            bad = ~np.isfinite(values)
            tally.not_finite += int(np.count_nonzero(bad))
            if not self.recipe.clamp:
                row = first + int(np.nonzero(bad)[0][0])
                raise RefusedError(
                    f"{self.frame.path} holds NaN or infinity, first in row {row}.",
                    "Render it again, or store 0 for NaN and 65504 for infinity: "
                    "--beyond-half clamp.",
                )
            most = HALF_LARGEST if values is colour else 1.0
            values[...] = np.nan_to_num(values, nan=0.0, posinf=most, neginf=-most)

    def _light(self, colour: Floats) -> tuple[Floats, str, bool]:
        """Return linear light, its space, and whether alpha is multiplied in."""
        frame = self.frame
        if SPACES[frame.space].linear:
            return colour, frame.space, frame.multiplied
        return convert_rows(colour, frame.space, ACESCG, self.recipe.config), ACESCG, False

    def _over(self, light: Floats, alpha: Floats, space: str, *, multiplied: bool) -> Floats:
        behind = np.asarray(self.recipe.over, np.float32)
        if space != ACESCG:
            behind = convert(behind, ACESCG, space, self.recipe.config)
        cover = alpha[..., None]
        lit = light if multiplied else light * cover
        return np.asarray(lit + (np.float32(1) - cover) * behind, np.float32)

    def _in_space(
        self, light: Floats, alpha: Floats | None, space: str, counts: Counts, *, multiplied: bool
    ) -> Floats:
        wanted = self.recipe.kind.space
        out = light
        if space != wanted:
            out = convert_rows(np.ascontiguousarray(light), space, wanted, self.recipe.config)
        if alpha is not None and not multiplied:
            out = np.multiply(out, alpha[..., None], dtype=np.float32)
        if self.recipe.stored == "half":
            within_half(out, counts.colour, clamp=self.recipe.clamp)
            if counts.colour.beyond_half and not self.recipe.clamp:
                float_too = "float" in self.recipe.kind.numbers
                raise RefusedError(
                    f"{self.frame.path} holds light beyond 65504, which half cannot hold.",
                    f"Store 65504 there: --beyond-half clamp{'' if not float_too else ', or '}"
                    f"{'store float: --number float' if float_too else ''}.",
                )
        return out

    def _seen(
        self, light: Floats, alpha: Floats | None, space: str, counts: Counts, *, multiplied: bool
    ) -> Floats:
        if alpha is not None:
            nothing = alpha <= 0
            glow = nothing & (light != 0).any(axis=-1)
            counts.light_without_cover += int(np.count_nonzero(glow))
            if multiplied:
                with np.errstate(over="ignore"):
                    cover = np.where(nothing, np.float32(1), alpha)[..., None]
                    light = np.divide(light, cover, dtype=np.float32)
        recipe = self.recipe
        seen = through_look(light, space, recipe.display, recipe.view, recipe.config, recipe.look)
        if not np.isfinite(seen).all():
            raise RefusedError(
                f"The view {recipe.view} makes no finite number of some light of "
                f"{self.frame.path}.",
                "Look for light beyond all measure, or for alpha next to nothing.",
            )
        return seen
