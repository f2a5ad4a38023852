"""The corrections of an old render, sorted by where they acted: on light, or on a display."""

from __future__ import annotations

import re
from dataclasses import dataclass

from primecoat.colour.ids import SPACES
from primecoat.errors import UseError
from primecoat.renders.corrections import Chain, Said, load_corrections
from primecoat.renders.corrections.model import Correction

_OPTIONS = {
    "--from": "--old-corrections-in",
    "--gives": "--old-corrections-gives",
    "--no-clamp": "--no-old-corrections-clamp",
    "--clamp": "--old-corrections-clamp",
}
"""What the options of ``corrections`` are called beside two renders."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OldChain:
    """What an old render went through, but for its view.

    Parameters
    ----------
    chain
        All corrections, in their order.
    before
        Those on light in the scene; the last may end on a display, and then is the view.
    after
        Those on the numbers of a display, after the view.
    """

    chain: Chain
    before: tuple[Correction, ...]
    after: tuple[Correction, ...]

    @property
    def is_view(self) -> bool:
        """Whether a correction leads from the scene to a display, so that no view is needed."""
        return bool(self.before) and self.before[-1].on_display[1]


def load_old_chain(given: str, said: Said, config: str) -> OldChain:
    """Read and sort the corrections of an old render.

    Raises
    ------
    UseError
        If something is not said, they lead back from a display to the scene, or they end in a
        display space that the vocabulary lacks.
    InputError
        If the file cannot be read.
    """
    try:
        return sorted_chain(load_corrections(given, said, config))
    except UseError as error:
        remedy = re.sub(r"--[a-z-]+", lambda found: _OPTIONS.get(found[0], found[0]), error.remedy)
        raise UseError(error.message, remedy) from error


def sorted_chain(chain: Chain) -> OldChain:
    """Sort corrections; see :func:`load_old_chain`."""
    on_display = False
    count = 0
    for one in chain.corrections:
        goes_in, comes_out = one.on_display
        if on_display and not (goes_in and comes_out):
            raise UseError(
                f"{chain.path} leads from a display back to the scene at {one.name}.",
                "Put what acted on light first, then what acted on a display's numbers.",
            )
        if not goes_in:
            count += 1
        elif not comes_out:
            raise UseError(
                f"{chain.path} starts on a display and leads to the scene at {one.name}.",
                "Give what was done to light, then what was done to a display's numbers.",
            )
        on_display = comes_out
    if on_display and chain.gives not in SPACES:
        raise UseError(
            f"{chain.path} ends in {chain.gives}, a display space without a Color Interop ID.",
            "Name the display space by its ID, such as srgb_rec709_display.",
        )
    return OldChain(chain=chain, before=chain.corrections[:count], after=chain.corrections[count:])
