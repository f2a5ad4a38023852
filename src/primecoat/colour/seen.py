"""A colour seen through a view, and the scene value that a view turns into a wanted colour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.albedo import DARKEST, LIGHTEST
from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.nearest import nearest_rgb
from primecoat.colour.ocio import (
    DEFAULT_CONFIG,
    DEFAULT_DISPLAY,
    DEFAULT_VIEW,
    against_view,
    check_view,
    display_xyz,
    through_view,
)
from primecoat.colour.primaries import Triple, primaries_of, rgb_to_xyz_matrix
from primecoat.errors import UseError

Codes = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A scene value seen through a view.

    Parameters
    ----------
    display, view
        Names in the config.
    rgb
        Display code values, 0 to 1.
    codes
        The same in 8 bits, 0 to 255.
    xyz
        Light on the display: CIE X, Y, Z, white D65, Y 1 = 100 cd/m².
    """

    display: str
    view: str
    rgb: Triple
    codes: Codes
    xyz: Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """The scene value that shows a wanted display colour under a view, or the nearest there is.

    Parameters
    ----------
    wanted
        Display code values asked for, 0 to 1.
    scene
        Linear RGB of the working space, no channel below 0.
    seen
        That value seen through the view.
    reachable
        Whether it shows the 8-bit codes asked for.
    residual
        CIEDE2000 between the light wanted and the light seen, under white of 100 cd/m².
    luminance
        Relative luminance of the scene value.
    why_no_surface
        Why it may not stand as the colour of a surface that is no metal, in words; empty if it
        may. Where light comes from (emissive, unlit) it may always stand.
    """

    wanted: Triple
    scene: Triple
    seen: Seen
    reachable: bool
    residual: float
    luminance: float
    why_no_surface: str

    @property
    def reflectance(self) -> bool:
        """Whether it may stand as the colour of a surface that is no metal."""
        return not self.why_no_surface


def see(
    rgb: Triple,
    space: str,
    *,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    config: str = DEFAULT_CONFIG,
) -> Seen:
    """Return a colour seen through a view.

    Parameters
    ----------
    rgb, space
        Numbers, and the Color Interop ID of a scene-referred space.

    Raises
    ------
    UseError
        If the config has no such display or view.

    Examples
    --------
    >>> see((0.18, 0.18, 0.18), "lin_ap1_scene").codes
    (89, 89, 89)
    """
    check_view(display, view, config)
    shown = through_view(rgb, space, display, view, config)
    return Seen(
        display=display,
        view=view,
        rgb=_triple(shown),
        codes=codes_of(shown),
        xyz=_triple(display_xyz(shown, display, view, config)),
    )


def seek(
    wanted: Triple,
    working: str,
    *,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    config: str = DEFAULT_CONFIG,
) -> Sought:
    """Return the scene value that shows a display colour, or the one whose colour is nearest.

    The search starts from the view turned round and stays where no channel is negative, because
    neither light nor a surface is.

    Parameters
    ----------
    wanted
        Display code values, 0 to 1.
    working
        Color Interop ID of a linear space.

    Raises
    ------
    UseError
        If a code is out of range, or the config has no such display or view.

    Examples
    --------
    >>> found = seek((0.5, 0.5, 0.5), "lin_ap1_scene")
    >>> found.reachable, found.seen.codes, found.reflectance
    (True, (128, 128, 128), True)
    """
    check_view(display, view, config)
    if not all(0.0 <= code <= 1.0 for code in wanted):
        raise UseError(
            f"{', '.join(f'{code:g}' for code in wanted)} are no display code values.",
            "Give numbers from 0 to 1, or '#rrggbb'.",
        )
    target = lab(display_xyz(wanted, display, view, config))

    def differences(candidates: NDArray[np.float64]) -> NDArray[np.float64]:
        shown = through_view(candidates, working, display, view, config)
        found = ciede2000(target, lab(display_xyz(shown, display, view, config)))
        return np.where(np.isfinite(found), found, np.inf)

    turned = against_view(wanted, working, display, view, config).astype(np.float64)
    start = np.maximum(np.nan_to_num(turned, posinf=0.0, neginf=0.0), 0.0)
    shown = through_view(start, working, display, view, config)
    scene = start
    if codes_of(shown) != codes_of(wanted):
        grey = np.full(3, start.mean())
        starts = (start, (start + grey) / 2.0, grey, np.full(3, 0.18))
        scene = nearest_rgb(differences, starts)
    seen = see(_triple(scene), working, display=display, view=view, config=config)
    luminance = float((rgb_to_xyz_matrix(primaries_of(working)) @ scene)[1])
    return Sought(
        wanted=wanted,
        scene=_triple(scene),
        seen=seen,
        reachable=seen.codes == codes_of(wanted),
        residual=float(differences(scene[None])[0]),
        luminance=luminance,
        why_no_surface=_why_no_surface(luminance, float(scene.max())),
    )


def codes_of(rgb: NDArray[np.floating] | Triple) -> Codes:
    """Return 8-bit codes of code values; those outside 0 to 1 go to the nearer end.

    Examples
    --------
    >>> codes_of((0.0, 0.5, 1.2))
    (0, 128, 255)
    """
    clipped = np.clip(np.asarray(rgb, dtype=np.float64), 0.0, 1.0)
    red, green, blue = np.floor(255.0 * clipped + 0.5).astype(int).tolist()
    return red, green, blue


def _why_no_surface(luminance: float, greatest: float) -> str:
    if luminance > LIGHTEST:
        return f"a surface would have to reflect {luminance:.3g}, more than {LIGHTEST:g}"
    if luminance < DARKEST:
        return f"a surface would have to reflect {luminance:.2g}, less than {DARKEST:g}"
    if greatest > 1.0:
        return f"one channel of a surface would have to reflect {greatest:.3g}, more than 1"
    return ""


def _triple(rgb: NDArray[np.floating]) -> Triple:
    red, green, blue = (float(value) for value in rgb)
    return red, green, blue
