"""What it costs a colour picture to be read in the wrong space of a config.

Everything is worked out with the config's own transforms, exactly: numbers to scene-linear light
by the reading that was meant and by the one that the config gives, then through one view.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ocio import convert, display_xyz, load_config, through_view
from primecoat.colour.primaries import Triple
from primecoat.errors import UseError

Floats = NDArray[np.float64]

MID_GREY: Final = 0.18


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Through what pictures are seen.

    Parameters
    ----------
    config
        Built-in name or path.
    linear
        The config's name for scene-linear light; files end up there.
    display, view
        Names in the config.
    """

    config: str
    linear: str
    display: str
    view: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourCost:
    """What a colour picture loses.

    Parameters
    ----------
    window
        Through what it is seen.
    right, read
        Display code values (0 to 255, not rounded; over 255 where a view leaves them) of mid-grey,
        18 % of scene-linear light as the picture holds it, read as meant and as the config does.
    stops
        How much brighter mid-grey gets in scene-linear light; None if it gets no light at all.
    mean, p95
        CIEDE2000 over the picture's own pixels, codes cut to 0 to 255; None without pixels, or if
        the view does not say what light it ends in.
    sampled
        Number of those pixels.
    """

    window: Window
    right: Triple
    read: Triple
    stops: float | None
    mean: float | None = None
    p95: float | None = None
    sampled: int = 0

    @property
    def nothing_changes(self) -> bool:
        """Whether grey and pixels come out the same, to a hundredth of a code and of CIEDE2000."""
        grey = max(abs(a - b) for a, b in zip(self.right, self.read, strict=True))
        return grey < 0.01 and (self.p95 is None or self.p95 < 0.01)


def window_of(config: str, display: str | None = None, view: str | None = None) -> Window:
    """Return a config's default view of its scene-linear light, or the one asked for.

    Raises
    ------
    UseError
        If the config names no scene-linear space, or has no such display or view.

    Examples
    --------
    >>> window_of("cg-config-v1.0.0_aces-v1.3_ocio-v2.1").view
    'ACES 1.0 - SDR Video'
    """
    loaded = load_config(config)
    if not loaded.hasRole(ocio.ROLE_SCENE_LINEAR):
        raise UseError(
            f"The config {config} does not say what scene-linear light is: it has no role "
            f"{ocio.ROLE_SCENE_LINEAR}.",
            "Give it the role.",
        )
    linear = str(loaded.getColorSpace(ocio.ROLE_SCENE_LINEAR).getName())
    display = display or str(loaded.getDefaultDisplay())
    view = view or str(loaded.getDefaultView(display, linear))
    if view not in list(loaded.getViews(display)):
        raise UseError(
            f"The config {config} has no view {view!r} of a display {display!r}.",
            "Name a display and a view of the config.",
        )
    return Window(config=config, linear=linear, display=display, view=view)


def colour_cost(window: Window, wanted: str, read: str, pixels: NDArray[np.floating]) -> ColourCost:
    """Return what a colour picture loses.

    Parameters
    ----------
    window
        Through what it is seen.
    wanted
        Color Interop ID of the true reading, or a space of the config.
    read
        Space of the config that it is read as. Data are used as they are, as scene-linear light.
    pixels
        The picture's numbers, shape (n, 3), integers scaled to 0 to 1; n may be 0.

    Raises
    ------
    UseError
        If the config has no space for the true reading, or cannot build a transform.

    Examples
    --------
    >>> aces = window_of("cg-config-v4.0.0_aces-v2.0_ocio-v2.5")
    >>> cost = colour_cost(aces, "srgb_rec709_scene", "ACES2065-1", np.empty((0, 3)))
    >>> round(cost.right[1], 1), round(cost.read[1], 1), round(cost.stops, 2)
    (89.0, 139.8, 1.36)
    """
    grey = convert((MID_GREY,) * 3, window.linear, wanted, window.config)
    light = convert(grey, read, window.linear, window.config).astype(np.float64)
    right, wrong = (_codes(window, value) for value in (np.full(3, MID_GREY), light))
    mean, p95, count = _difference(window, wanted, read, pixels)
    brightness = float(light.mean())
    return ColourCost(
        window=window,
        right=_triple(255.0 * right),
        read=_triple(255.0 * wrong),
        stops=math.log2(brightness / MID_GREY) if brightness > 0 else None,
        mean=mean,
        p95=p95,
        sampled=count,
    )


def _codes(window: Window, light: NDArray[np.floating]) -> Floats:
    shown = through_view(light, window.linear, window.display, window.view, window.config)
    return shown.astype(np.float64)


def _difference(
    window: Window, wanted: str, read: str, pixels: NDArray[np.floating]
) -> tuple[float | None, float | None, int]:
    if not len(pixels):
        return None, None, 0
    seen = []
    for space in (wanted, read):
        light = convert(pixels, space, window.linear, window.config)
        codes = np.clip(_codes(window, light), 0.0, 1.0)
        try:
            xyz = display_xyz(codes, window.display, window.view, window.config)
        except UseError:
            return None, None, 0
        seen.append(lab(xyz))
    found = ciede2000(*seen)
    found = found[np.isfinite(found)]
    if not len(found):
        return None, None, 0
    return float(found.mean()), float(np.percentile(found, 95)), len(found)


def _triple(values: NDArray[np.floating]) -> Triple:
    red, green, blue = (float(value) for value in values)
    return red, green, blue
