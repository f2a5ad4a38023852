"""How much light surfaces that are no metal send back."""

from __future__ import annotations

from typing import Final

DARKEST: Final = 0.013
LIGHTEST: Final = 0.871
"""Linear limits of dielectric base colour, sRGB codes 30 and 240 (common practice, no source).
For scale: charcoal and fresh asphalt reflect 0.04; fresh snow 0.7 to 0.9 (T. R. Oke, *Boundary
Layer Climates*, 2nd ed. 1987, table 1.1, from memory)."""
