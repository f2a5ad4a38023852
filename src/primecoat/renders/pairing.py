"""How two frames are looked at: one display, a view for each, one space for their light."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import (
    DEFAULT_CONFIG,
    DEFAULT_DISPLAY,
    DEFAULT_VIEW,
    check_view,
    load_config,
    match_space,
)
from primecoat.errors import UseError
from primecoat.renders.frame import Frame, Seen, same_size

USUAL_LINEAR = "lin_ap1_scene"
"""Where scene-linear numbers are compared, unless both frames are in one other linear space."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Through:
    """What light went through on its way to a display.

    Parameters
    ----------
    display, view
        Names in the config.
    config
        Built-in name or path.
    look
        What was built in before the view; empty for nothing.
    """

    display: str
    view: str
    config: str
    look: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two frames that lie on each other, and how they are looked at.

    Parameters
    ----------
    a, b
        The frames.
    seen_a, seen_b
        Display and view of each; the view is None for display-referred numbers.
    screen
        Space that display codes are compared in: a name in the config.
    screen_id
        Its Color Interop ID, or None.
    linear
        Space that scene-linear numbers are compared in; None unless both frames are
        scene-referred.
    config
        Built-in name or path.
    """

    a: Frame
    b: Frame
    seen_a: Seen
    seen_b: Seen
    screen: str
    screen_id: str | None
    linear: str | None
    config: str

    @property
    def high_dynamic_range(self) -> bool:
        """Whether the display codes are those of an HDR display (PQ or HLG)."""
        return self.screen_id is not None and SPACES[self.screen_id].curve in ("pq", "hlg")


def pair_frames(
    a: Frame,
    b: Frame,
    *,
    view_a: str | None = None,
    view_b: str | None = None,
    display: str | None = None,
    colour_only: bool = False,
    config: str = DEFAULT_CONFIG,
) -> Pair:
    """Return how two frames are compared.

    Parameters
    ----------
    a, b
        The frames.
    view_a, view_b
        Views of scene-referred frames. Neither: both are seen through the default view.
    display
        Display of the views; by default the usual one.
    colour_only
        Let one have alpha and the other not.

    Raises
    ------
    UseError
        If sizes or channels differ; if a view is named for a display-referred frame; if two
        scene-referred frames would be seen through different views and only one is named; if the
        config has no such display or view.
    """
    same_size(a, b, colour_only=colour_only)
    for frame, view, option in ((a, view_a, "--view-a"), (b, view_b, "--view-b")):
        if view is not None and frame.display_referred:
            raise UseError(
                f"{frame.path} is display-referred ({frame.space}): it has been through its view.",
                f"Leave {option} out, or name the scene-referred space of the numbers.",
            )
    if a.display_referred and b.display_referred:
        if display is not None:
            raise UseError(
                "Both pictures are display-referred, each for the display of its own space.",
                "Leave --display out.",
            )
        seen = Seen(display="", view=None, config=config)
        return Pair(
            a=a,
            b=b,
            seen_a=seen,
            seen_b=seen,
            screen=a.space,
            screen_id=a.space,
            linear=None,
            config=config,
        )
    _refuse_silent_difference(a, b, view_a, view_b)
    shown = display or DEFAULT_DISPLAY
    views = [
        None if frame.display_referred else view or DEFAULT_VIEW
        for frame, view in ((a, view_a), (b, view_b))
    ]
    screens = {check_view(shown, view, config) for view in views if view}
    if len(screens) > 1:
        raise UseError(
            f"The views {view_a} and {view_b} of {shown} end in different display spaces.",
            "Name views that end in one.",
        )
    screen = screens.pop()
    both = not a.display_referred and not b.display_referred
    one_linear = a.space == b.space and SPACES[a.space].linear
    return Pair(
        a=a,
        b=b,
        seen_a=Seen(display=shown, view=views[0], config=config),
        seen_b=Seen(display=shown, view=views[1], config=config),
        screen=screen,
        screen_id=match_space(load_config(config), screen).reading,
        linear=(a.space if one_linear else USUAL_LINEAR) if both else None,
        config=config,
    )


def _refuse_silent_difference(a: Frame, b: Frame, view_a: str | None, view_b: str | None) -> None:
    if a.display_referred or b.display_referred or (view_a is None) == (view_b is None):
        return
    named, lacking = ("--view-a", "--view-b") if view_a else ("--view-b", "--view-a")
    if (view_a or view_b) != DEFAULT_VIEW:
        raise UseError(
            f"Only {named} is named; the other picture would be seen through another view "
            f"({DEFAULT_VIEW}).",
            f"Name both: give {lacking} too, the same view or the other one that is meant.",
        )
