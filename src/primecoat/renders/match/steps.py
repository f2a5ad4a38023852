"""The steps by which a look is fitted, from the simplest on."""

from __future__ import annotations

from typing import Final, Literal

Step = Literal["nothing", "exposure", "contrast", "saturation", "channels", "by hand"]
STEPS: Final[tuple[Step, ...]] = ("nothing", "exposure", "contrast", "saturation", "channels")
"""The steps that are fitted; the one by hand is a person's."""
