"""What a proof comes to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from primecoat.proof.paths.causes import Causes
from primecoat.proof.paths.certainty import Figure
from primecoat.proof.paths.picture import Rendered
from primecoat.proof.paths.scenario import Misread, Unseen
from primecoat.proof.paths.sight import Look, Sight

Nearer = Literal["rec709", "ap1", "no difference here"]

TELLING: Final = 0.05
"""CIEDE2000 below which no difference between working spaces is told, however sure it is: a
twentieth of what an eye just tells apart side by side (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """The pictures of a proof while it is traced: of the old scene and of the mended one.

    Parameters
    ----------
    exposure
        What light is multiplied by before the view, in both; as it was found at first.
    """

    sights: tuple[Sight, Sight]
    old: Rendered
    new: Rendered
    exposure: float

    def look(self, basis: str, *, old: bool = False) -> Look:
        """Return how a picture of it is seen."""
        return Look(basis=basis, exposure=self.exposure, sight=self.sights[0 if old else 1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What a switch of working space does to a scene.

    Parameters
    ----------
    words, notes
        What was traced; what stands for what the scene does not have, and what is not traced.
    old
        The scene as it is read today; its picture by Rec.709 is the old one.
    new
        The scene with everything read as it must be; its picture by AP1 is the new one.
    exposure
        What light is multiplied by before the view, in both.
    noise
        Mean CIEDE2000 that chance leaves in the new picture.
    change
        Mean CIEDE2000 through the view from old to new.
    from_spectral
        Mean CIEDE2000 (in X, Y, Z after Bradford, without a view) between the picture of each
        working space and the spectral one, all of the mended scene.
    farther
        That of Rec.709 less that of AP1, on the same paths: above 0 AP1 is nearer.
    misread, undecided
        Images that are misread today; images whose reading nobody knows, read as today.
    unseen
        Images that no pixel shows, or whose slots are not traced: nothing is said of them.
    seconds
        Time that it took.
    kept
        Whether it was read back rather than traced now.
    """

    words: str
    notes: tuple[str, ...]
    size: tuple[int, int]
    sights: tuple[Sight, Sight]
    old: Rendered
    new: Rendered
    exposure: float
    noise: float
    change: Figure
    from_spectral: dict[str, Figure]
    farther: Figure
    misread: tuple[Misread, ...]
    undecided: tuple[str, ...]
    unseen: tuple[Unseen, ...]
    causes: Causes | None
    seconds: float
    kept: bool = False

    @property
    def nearer(self) -> Nearer:
        """The working space whose picture is nearer to the spectral one."""
        if not self.farther.sure or abs(self.farther.value) < TELLING:
            return "no difference here"
        return "ap1" if self.farther.value > 0 else "rec709"

    def look(self, basis: str, *, old: bool = False) -> Look:
        """Return how a picture of it is seen."""
        return Look(basis=basis, exposure=self.exposure, sight=self.sights[0 if old else 1])
