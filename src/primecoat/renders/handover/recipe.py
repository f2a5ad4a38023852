"""What is made of every master: all that a person chooses, checked, and one name for it."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from primecoat.colour.ocio import DEFAULT_CONFIG, check_view, display_reading
from primecoat.colour.ocio.displays import default_view, display_of
from primecoat.config.look_file import LookFile
from primecoat.config.look_view import look_view_id
from primecoat.errors import UseError
from primecoat.files import sha256_of_bytes
from primecoat.renders.handover.kinds import Kind

ACESCG = "lin_ap1_scene"
"""Space that a background is stated in, and where light is worked on that has a curve."""

Rgb = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """What is made of every master.

    Parameters
    ----------
    kind
        Kind of file.
    number, compression
        How its numbers are stored; empty for the kind's usual way.
    quality
        Of JPEG, 1 to 100.
    profile
        State the space of a PNG by an ICC profile instead of code points (cICP).
    config
        OpenColorIO config.
    display, view
        What light is seen through; empty for kinds that are scene-referred.
    look
        A look on scene light before the view.
    drop_alpha
        Leave alpha out, and colour as it stands.
    over
        Light in ACEScg that stands behind what alpha does not cover; alpha is then left out.
    clamp
        Store what is not finite or beyond half as the nearest number that half holds.
    leave_out
        Leave out layers and channels beside the picture.
    space, layer, part
        What a person says of the masters; see :func:`primecoat.renders.frame.open_frame`.
    """

    kind: Kind
    number: str = ""
    compression: str = ""
    quality: int = 95
    profile: bool = False
    config: str = DEFAULT_CONFIG
    display: str = ""
    view: str = ""
    look: LookFile | None = None
    drop_alpha: bool = False
    over: Rgb | None = None
    clamp: bool = False
    leave_out: bool = False
    space: str | None = None
    layer: str = ""
    part: str | None = None

    @property
    def stored(self) -> str:
        """The type of numbers that is used."""
        return self.number or self.kind.numbers[0]

    @property
    def packed(self) -> str:
        """The compression that is used."""
        if not self.kind.compressions:
            return f"jpeg:{self.quality}"
        return self.compression or self.kind.compressions[0]

    @property
    def alpha_dropped(self) -> bool:
        """Whether no alpha is written."""
        return self.drop_alpha or self.over is not None

    def as_document(self) -> dict[str, Any]:
        """Return all choices, in words that are the same on every machine."""
        look = self.look
        return {
            "kind": self.kind.name,
            "number": self.stored,
            "compression": self.packed,
            "statement": "ICC profile" if self.profile else "usual",
            "config": self.config,
            "display": self.display or None,
            "view": self.view or None,
            "look": None
            if look is None
            else {
                "file": look.path.name,
                "sha256": look.sha256,
                "correction": look.correction or None,
                "works_in": look.works_in,
                "gives": look.gives,
                "clamp": look.clamp,
            },
            "alpha": "kept" if not self.alpha_dropped else "left out",
            "over": None if self.over is None else list(self.over),
            "clamp": self.clamp,
            "leave_out": self.leave_out,
            "in": self.space,
            "layer": self.layer or None,
            "part": self.part,
        }

    def identity(self) -> str:
        """Return one name for all choices, and for what the config makes of them."""
        seen = ""
        if self.view:
            seen = look_view_id(ACESCG, self.display, self.view, self.config, self.look)
        words = json.dumps([self.as_document(), seen], sort_keys=True)
        return sha256_of_bytes(words.encode())


def checked(recipe: Recipe) -> Recipe:
    """Return a recipe that can be carried out, its display and view named.

    A display and a view that are not named are those of the config: the first display for the
    kind's space, and the view that the config names as its default.

    Raises
    ------
    UseError
        If it asks for what its kind does not hold, or for a view that the config lacks.
    """
    kind = recipe.kind
    for what, asked, held in (
        ("numbers", recipe.number, kind.numbers),
        ("compression", recipe.compression, kind.compressions),
    ):
        if asked and asked not in held:
            why = "SMPTE ST 2065-4 allows no other" if kind.strict else "it is not written so"
            raise UseError(
                f"{kind.name} has no {what} {asked!r}: {why}.",
                f"Use {' or '.join(held)}."
                if held
                else "Leave it out; JPEG is chosen by --quality.",
            )
    if not 1 <= recipe.quality <= 100:
        raise UseError(f"There is no quality {recipe.quality}.", "Use 1 to 100.")
    if recipe.profile and (kind.ending != ".png" or kind.space.startswith("pq")):
        raise UseError(
            f"{kind.name} states its space in one way only.", "Leave the profile out; see the docs."
        )
    if recipe.drop_alpha and recipe.over is not None:
        raise UseError("Alpha is either dropped or used.", "Give --drop-alpha or --over, not both.")
    if not kind.seen:
        if recipe.view or recipe.display or recipe.look is not None:
            raise UseError(
                f"{kind.name} holds the light of the scene: no view and no look goes into it.",
                "Leave --view, --display and --look out, or hand over for a display.",
            )
        return recipe
    display = recipe.display or display_of(kind.space, recipe.config)
    view = recipe.view or default_view(display, recipe.config)
    return _seen(recipe, display, view)


def _seen(recipe: Recipe, display: str, view: str) -> Recipe:
    check_view(display, view, recipe.config)
    ends = display_reading(display, view, recipe.config)
    if ends != recipe.kind.space:
        raise UseError(
            f"The view {view} of {display} ends in {ends}, and {recipe.kind.name} holds "
            f"{recipe.kind.space}.",
            "Name a display of that space, or another kind.",
        )
    found = replace(recipe, display=display, view=view)
    look_view_id(ACESCG, display, view, recipe.config, recipe.look)  # it can be built
    return found
