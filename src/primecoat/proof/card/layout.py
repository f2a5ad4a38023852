"""Where every patch of the card stands, which way it faces, and which lights there are.

The card faces +z, x is right, y is up; one unit is the distance of two patches. Lamps shine along
the card and half a degree from behind, so that only patches that are turned to them get their
light; the main light does not reach those. So each patch has one light, and its value is a product.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
"""Shape (3,)."""

Group = Literal["main", "own", "lamp", "warm", "sky"]
"""What lights a patch: the main light, its own emission, the lamp by colour, the lamp by
temperature, or the environment seen through a window."""

VERSION: Final = 1
"""Version of the layout; a render is read by the layout it was written with."""

INNER: Final = (5.2, 3.5)
OUTER: Final = (5.7, 4.0)
PLATE: Final = (7.2, 5.4)
"""Half width and height of the white frame inside, of the frame outside, of the black plate; of
the frame as the card's camera sees it in the plane of the patches."""

PLATE_DEPTH: Final = -0.5
"""Behind the lowest corner of every patch."""
FRAME_DEPTH: Final = 0.45
"""The frame stands before every patch, so that none faces it and takes light from it."""
MARK_DEPTH: Final = 0.46
MARK: Final = 0.12
"""Half side of a black mark on the frame."""
MARKS: Final = ((-5.45, 3.75), (-2.0, 3.75))
"""Middles of the marks: they tell which way the card is turned, and whether it is mirrored."""

WINDOW: Final = 0.45
"""Half side of a window to the environment."""
WINDOWS: Final = ((3.0, 2.5), (3.0, -1.5))
"""Middles of the windows: the upper one shows the bright part, the lower one the dark part."""

CAMERA: Final = 16.0
"""Distance of the camera from the card, on the axis."""
CAMERA_ANGLE: Final = 34.0
"""Vertical angle of view, degrees."""
ASPECT: Final = 1.4
"""Width over height of the picture."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """One flat square of the card.

    Parameters
    ----------
    name
        Its name, one word.
    x, y
        Its middle.
    group
        Its light.
    given
        The input it shows: a key of :data:`primecoat.proof.card.inputs.INPUTS`.
    swatches
        1, or 4 for a picture of two by two fields.
    tilt, azimuth
        Which way it is turned, degrees: how far from +z, and to which side from +x.
    """

    name: str
    x: float
    y: float
    group: Group
    given: str
    swatches: int = 1
    tilt: float = 0.0
    azimuth: float = 0.0

    @property
    def half(self) -> float:
        """Half its side: larger for four fields, and for those that are seen aslant."""
        if self.group in ("lamp", "warm"):
            return 0.45
        return 0.4 if self.swatches == 4 else 0.35


def direction(tilt: float, azimuth: float) -> Vector:
    """Return the unit vector at ``tilt`` degrees from +z, towards ``azimuth`` degrees from +x.

    Examples
    --------
    >>> direction(90, 0).round(6).tolist()
    [1.0, 0.0, 0.0]
    """
    theta, phi = np.radians(tilt), np.radians(azimuth)
    return np.array([np.sin(theta) * np.cos(phi), np.sin(theta) * np.sin(phi), np.cos(theta)])


MAIN: Final = (45.0, 120.0)
LAMP: Final = (90.5, 210.0)
WARM: Final = (90.5, 30.0)
"""Tilt and azimuth of the directions to the three distant lights."""

LAMP_FACE: Final = (60.0, 255.0)
WARM_FACE: Final = (60.0, 345.0)
"""Tilt and azimuth of the patches that only the lamp by colour, or by temperature, reaches."""

WEDGE_TILTS: Final = (45.0, 8.0, -8.0, -21.5, -33.5, -39.3)
"""Tilts of the white patches of the grey wedge, towards the azimuth of the main light."""

EMISSIONS: Final = (6.0, 2.5, 1.0, 0.36, 0.12, 0.04)
"""Neutral emission of the exposure wedge; the brightest lie by patches that are turned away."""

LIGHTS: Final[dict[Group, tuple[float, float]]] = {"main": MAIN, "lamp": LAMP, "warm": WARM}


STRENGTHS: Final[dict[Group, float]] = {"main": 2.0, "lamp": 6.0, "warm": 1.0, "sky": 0.25}
"""Strength of each light. A white patch that faces a light of strength 1 shows 1. Products of
saturated colours are dark, so that lamp is strong; the others keep within what a display shows."""


def share(patch: Patch) -> float:
    """Return the cosine that a patch gets of its light; 1 for what shines itself.

    Examples
    --------
    >>> round(share(PATCHES[0]), 6)
    1.0
    """
    light = LIGHTS.get(patch.group)
    if light is None:
        return 1.0
    return max(0.0, float(direction(patch.tilt, patch.azimuth) @ direction(*light)))


def _wedge(row: float, tilts: tuple[float, ...], name: str) -> tuple[Patch, ...]:
    return tuple(
        Patch(
            name=f"{name}_{n}",
            x=-3.5 + n,
            y=row,
            group="main",
            given="white",
            tilt=tilt,
            azimuth=MAIN[1],
        )
        for n, tilt in enumerate(tilts)
    )


_ROW = (
    "token_color",
    "token_ap1_color",
    "declared_color",
    "untagged_color",
    "sixteen_bit_color",
    "profile_srgb_color",
    "profile_p3_color",
    "float_color",
)

PATCHES: Final[tuple[Patch, ...]] = (
    *_wedge(2.5, WEDGE_TILTS, "wedge"),
    *_wedge(-2.5, WEDGE_TILTS[::-1], "wedge_back"),
    *(
        Patch(name=f"emission_{n}", x=-3.5 + n, y=1.5, group="own", given="emission")
        for n in range(len(EMISSIONS))
    ),
    *(
        Patch(name=key, x=-3.5 + n, y=0.5, group="main", given=key, swatches=4)
        for n, key in enumerate(_ROW)
    ),
    *(
        Patch(name=f"constant_{n}", x=-3.5 + n, y=-0.5, group="main", given="constant")
        for n in range(4)
    ),
    Patch(name="mix", x=0.5, y=-0.5, group="main", given="grey_data", swatches=4),
    Patch(name="normal", x=1.5, y=-0.5, group="main", given="normal_map", swatches=4),
    *(
        Patch(
            name=f"lamp_{n}",
            x=-4.5,
            y=-2.5 + n,
            group="lamp",
            given="light_by_colour",
            tilt=LAMP_FACE[0],
            azimuth=LAMP_FACE[1],
        )
        for n in range(4)
    ),
    *(
        Patch(
            name=f"warm_{n}",
            x=4.5,
            y=2.5 - n,
            group="warm",
            given="light_by_temperature",
            tilt=WARM_FACE[0],
            azimuth=WARM_FACE[1],
        )
        for n in range(3)
    ),
    *(
        Patch(name=f"sky_{n}", x=x, y=y, group="sky", given="environment")
        for n, (x, y) in enumerate(WINDOWS)
    ),
)
"""All patches; those of one input stand in the order of its swatches."""

SURFACES: Final = tuple(patch for patch in PATCHES if patch.group != "sky")
"""The patches that are surfaces; the others are windows."""


def corners(patch: Patch) -> NDArray[np.float64]:
    """Return the corners of a patch in space, counter-clockwise from lower left, shape (4, 3)."""
    towards = np.radians(patch.azimuth)
    axis = np.array([-np.sin(towards), np.cos(towards), 0.0])
    turn = np.radians(patch.tilt)
    flat = np.array([(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)], float) * patch.half
    along = np.outer(flat @ axis, axis) * (1 - np.cos(turn))
    turned = flat * np.cos(turn) + np.cross(axis, flat) * np.sin(turn) + along
    return np.asarray(turned + np.array([patch.x, patch.y, 0.0]))


def fields(patch: Patch) -> tuple[tuple[float, float, float], ...]:
    """Return where to look at the swatches of a patch: middle x, y and half side of the look.

    Examples
    --------
    >>> fields(PATCHES[0])
    ((-3.5, 2.5, 0.09),)
    """
    if patch.swatches == 1:
        wide = 0.15 if patch.tilt == 0.0 else 0.09
        return ((patch.x, patch.y, wide),)
    step = patch.half / 2
    order = ((-step, step), (step, step), (-step, -step), (step, -step))
    return tuple((patch.x + dx, patch.y + dy, 0.11) for dx, dy in order)


def plates() -> tuple[tuple[str, float, float, float, float, float], ...]:
    """Return the flat parts that are no patch: name, x from, to, y from, to, and z."""
    wide, high = OUTER
    in_wide, in_high = INNER
    far, tall = PLATE
    (x, up), (_, down) = WINDOWS
    left, right = x - WINDOW, x + WINDOW
    z = PLATE_DEPTH
    frame = _standing_at(
        FRAME_DEPTH,
        ("frame_top", -wide, wide, in_high, high),
        ("frame_bottom", -wide, wide, -high, -in_high),
        ("frame_left", -wide, -in_wide, -in_high, in_high),
        ("frame_right", in_wide, wide, -in_high, in_high),
    )
    marks = _standing_at(
        MARK_DEPTH,
        *(
            (f"mark_{n}", mx - MARK, mx + MARK, my - MARK, my + MARK)
            for n, (mx, my) in enumerate(MARKS)
        ),
    )
    back = (
        ("plate_left", -far, left, -tall, tall, z),
        ("plate_right", right, far, -tall, tall, z),
        ("plate_top", left, right, up + WINDOW, tall, z),
        ("plate_middle", left, right, down + WINDOW, up - WINDOW, z),
        ("plate_bottom", left, right, -tall, down - WINDOW, z),
    )
    return (*frame, *marks, *back)


def _standing_at(
    z: float, *parts: tuple[str, float, float, float, float]
) -> tuple[tuple[str, float, float, float, float, float], ...]:
    """Return parts at a depth, so large that the camera sees them where they are said to be."""
    scale = (CAMERA - z) / CAMERA
    return tuple(
        (name, left * scale, right * scale, low * scale, high * scale, z)
        for name, left, right, low, high in parts
    )
