"""The walled courtyard: light that arrives at a point from any direction.

A box of four walls under a clear sky, in metres; x to the right, y up, -z ahead.
Light is linear with Rec.709 primaries; sunlit white plaster is near 1.5.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.demo import masonry, materials
from primecoat.demo.noise import Field, cells, cloud, sample
from primecoat.demo.paint import Picture, hue, mix, step

Vectors = NDArray[np.floating[Any]]
"""Shape (count, 3)."""

HALF_WIDTH = 4.0
WALL_HEIGHT = 3.1
SUN = np.array([0.52, 0.68, 0.52], dtype=np.float32) / np.float32(np.sqrt(0.52**2 * 2 + 0.68**2))
SUN_IRRADIANCE = np.array([5.4, 4.9, 4.1], dtype=np.float32)
SKY_IRRADIANCE = np.array([0.75, 0.95, 1.3], dtype=np.float32)
SUN_RADIUS = 0.009
"""Standard deviation of the sun's disc in radians: wider than the real one, so that it covers
a few pixels, and without a flat top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Courtyard:
    """The pictures that clothe the courtyard; colours are linear Rec.709."""

    brick: Picture
    plaster: Picture
    paving: Picture
    planks: Picture
    clouds: Field
    leaves: Field
    crown: Field


def build_courtyard(size: int = 512) -> Courtyard:
    """Return the courtyard with its walls painted at ``size`` pixels a picture."""
    shape = (size, size)

    def light(stored: Picture) -> Picture:
        return convert(stored, "srgb_rec709_scene", "lin_rec709_scene")

    return Courtyard(
        brick=_greyed(light(masonry.brick(shape).colour), 0.28),
        plaster=light(masonry.plaster(shape).colour),
        paving=light(masonry.paving(shape).colour),
        planks=light(materials.oak(shape, 4, 311).colour),
        clouds=cloud(shape, 151, 3.0, 2.1),
        leaves=cloud(shape, 152, 14.0, 1.5),
        crown=cloud(shape, 153, 5.0, 1.7),
    )


def _greyed(light: Picture, share: float) -> Picture:
    """Return colours mixed with the grey of the same brightness: weathered."""
    weights = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
    return mix(light, np.repeat((light @ weights)[..., None], 3, axis=-1), share)


def sky(court: Courtyard, directions: Vectors) -> Vectors:
    """Return the radiance of sky, clouds and sun for unit directions."""
    up = np.clip(directions[:, 1], 0.02, 1)
    toward = np.clip(directions @ SUN, -1, 1)
    depth = np.exp(-1.9 * up)[:, None]
    blue = np.array([0.16, 0.34, 0.82], dtype=np.float32)
    haze = np.array([0.92, 1.0, 1.05], dtype=np.float32)
    light = blue + (haze - blue) * depth
    glare = 0.9 * np.exp(-(1 - toward) * 7) + 5.0 * np.exp(-(1 - toward) * 260)
    light = light + glare[:, None] * np.array([1.0, 0.93, 0.8], dtype=np.float32)
    reach = 0.16 / (up + 0.12)
    veil = sample(court.clouds, directions[:, 0] * reach, directions[:, 2] * reach)
    cover = step(0.1, 2.0, veil)[:, None]
    white = 1.25 + 1.2 * np.clip(toward, 0, 1)[:, None] ** 6
    light = light * (1 - 0.75 * cover) + white * 0.75 * cover
    angle = np.arccos(toward)
    disc = np.exp(-0.5 * (angle / SUN_RADIUS) ** 2) / (2 * np.pi * SUN_RADIUS**2)
    return np.asarray(light + disc[:, None] * SUN_IRRADIANCE, dtype=np.float32)


def radiance(court: Courtyard, origin: tuple[float, float, float], directions: Vectors) -> Vectors:
    """Return the light that arrives at a point of the courtyard.

    Parameters
    ----------
    court
        The courtyard.
    origin
        Where the eye is, inside the walls, in metres.
    directions
        Unit vectors, shape (count, 3).

    Returns
    -------
    numpy.ndarray
        Shape (count, 3), linear Rec.709, 0 to some ten thousands in the sun.
    """
    eye = np.array(origin, dtype=np.float32)
    safe = np.where(np.abs(directions) < 1e-6, np.float32(1e-6), directions)
    walls = (np.where(safe[:, (0, 2)] > 0, HALF_WIDTH, -HALF_WIDTH) - eye[[0, 2]]) / safe[:, (0, 2)]
    floor = np.where(safe[:, 1] < 0, -eye[1] / safe[:, 1], np.inf)
    reach = np.minimum(walls.min(axis=1), floor)
    place = (eye + safe * reach[:, None]).astype(np.float32)
    on_floor = floor < walls.min(axis=1)
    side = walls[:, 0] < walls[:, 1]
    open_sky = ~on_floor & (place[:, 1] > WALL_HEIGHT)
    light: Vectors = np.empty_like(place)
    for chosen, paint in (
        (on_floor, _floor),
        (~on_floor & ~open_sky & ~side, _end_wall),
        (~on_floor & ~open_sky & side, _side_wall),
    ):
        if chosen.any():
            light[chosen] = paint(court, place[chosen])
    light[open_sky] = _over_the_wall(court, place[open_sky], directions[open_sky])
    return light


def _lit(court: Courtyard, place: Vectors, normal: Vectors) -> Field:
    """Return how much sun reaches a place: 0 in shadow, else the cosine, with leaf dapple."""
    flat = SUN[[0, 2]]
    out = (np.where(flat > 0, HALF_WIDTH, -HALF_WIDTH) - place[:, (0, 2)]) / flat
    way = np.clip(out, 0, None).min(axis=1)
    height = place[:, 1] + way * SUN[1]
    soft = 0.01 + 0.012 * way
    clear = np.clip((height - WALL_HEIGHT) / soft * 0.5 + 0.5, 0, 1)
    rise = (4.2 - place[:, 1]) / SUN[1]
    shadow_x, shadow_z = place[:, 0] + rise * SUN[0], place[:, 2] + rise * SUN[2]
    twigs = sample(court.leaves, shadow_x * 0.16, shadow_z * 0.16)
    tree = np.exp(-(((shadow_x - 1.6) / 2.1) ** 2) - ((shadow_z - 2.2) / 2.1) ** 2)
    dapple = 1 - step(-0.15, 0.4, twigs + 2.4 * tree - 1.5)
    return np.asarray(clear * dapple * np.clip(normal @ SUN, 0, 1), dtype=np.float32)


def _shaded(albedo: Vectors, sun: Field, open_share: Field, bounce: Field) -> Vectors:
    """Return reflected light of matt surfaces."""
    warm = np.array([0.62, 0.5, 0.36], dtype=np.float32)
    arriving = sun[:, None] * SUN_IRRADIANCE + open_share[:, None] * SKY_IRRADIANCE
    return np.asarray(albedo / np.pi * (arriving + bounce[:, None] * warm), dtype=np.float32)


def _corner(distance: Field, reach: float) -> Field:
    return np.asarray(1 - 0.55 * np.exp(-distance / reach), dtype=np.float32)


def _floor(court: Courtyard, place: Vectors) -> Vectors:
    albedo = sample(court.paving, place[:, 0] / 3.1, place[:, 2] / 3.1)
    near = HALF_WIDTH - np.abs(place[:, (0, 2)]).max(axis=1)
    normal = np.broadcast_to(np.array([0, 1, 0], dtype=np.float32), place.shape)
    wear = 1 + 0.1 * sample(court.clouds, place[:, 0] / 8, place[:, 2] / 8)
    share = 0.9 * _corner(near, 0.35)
    return _shaded(albedo * wear[:, None], _lit(court, place, normal), share, 0.5 * share)


def _wall(
    court: Courtyard,
    place: Vectors,
    albedo: Vectors,
    along: Field,
    normal: Vectors,
    bare: Field,
) -> Vectors:
    """Return a wall's light: coping on top, damp below, ivy unless the wall is kept bare."""
    height = place[:, 1]
    coping = step(WALL_HEIGHT - 0.13, WALL_HEIGHT - 0.12, height)
    tile = 0.75 + 0.25 * step(0.0, 0.06, np.abs(along * 4 - np.round(along * 4)))
    terracotta = np.array([0.36, 0.14, 0.075], dtype=np.float32)
    albedo = mix(albedo, tile[:, None] * terracotta, coping)
    lip = step(0.16, 0.125, WALL_HEIGHT - height) * (1 - coping)
    albedo = albedo * (1 - 0.55 * lip)[:, None]
    damp = step(0.55, 0.0, height + 0.12 * sample(court.clouds, along / 5, height / 5))
    albedo = albedo * (1 - 0.45 * damp)[:, None]
    grows = sample(court.crown, along / 9, height / 9)
    area = step(-0.1, 0.5, grows + 0.5 * (height - 1.9) - 0.06 * np.abs(along + 2.4) ** 2)
    blades = cells(along / 3, height / 3, (34, 34), 154)
    area = area * (1 - 0.9 * bare)
    ivy = area * step(0.52, 0.4, blades.nearest)
    green = np.array([0.045, 0.095, 0.02], dtype=np.float32)
    young = np.array([0.13, 0.2, 0.045], dtype=np.float32)
    leaf = green + (young - green) * (blades.number**2)[:, None]
    leaf = leaf * (0.55 + 0.9 * step(0.5, 0.05, blades.nearest))[:, None]
    albedo = mix(albedo * (1 - 0.45 * area)[:, None], leaf, ivy)
    near = np.minimum(HALF_WIDTH - np.abs(along), height)
    share = (0.34 + 0.16 * height / WALL_HEIGHT) * _corner(near, 0.3)
    tilt = 1 + 0.35 * ivy * (blades.number - 0.5)
    bounce = np.exp(-height / 1.3) * 1.6 + 0.25
    return _shaded(albedo, _lit(court, place, normal) * tilt, share, bounce.astype(np.float32))


def _end_wall(court: Courtyard, place: Vectors) -> Vectors:
    """Return a brick wall; the one ahead has an arched door."""
    x, height = place[:, 0], place[:, 1]
    albedo = sample(court.brick, x / 1.0, -height / 1.0)
    ahead = place[:, 2] < 0
    across = np.abs(x - 0.9)
    arch = np.where(height < 1.75, across, np.hypot(across, height - 1.75))
    planks = sample(court.planks, height / 1.6, x / 0.8)
    paint = convert(hue("3f6f6b"), "srgb_rec709_scene", "lin_rec709_scene")
    worn = step(0.9, 2.6, sample(court.leaves, height / 5, x / 1.2))
    board = mix(planks * 0.35 + paint * 0.65, planks, worn * 0.8)
    strap = step(0.035, 0.03, np.minimum(np.abs(height - 0.45), np.abs(height - 1.6)))
    iron = np.array([0.03, 0.028, 0.026], dtype=np.float32)
    board = mix(board, np.broadcast_to(iron, board.shape), strap * step(0.5, 0.48, across))
    door = step(0.56, 0.555, arch) * ahead
    frame = step(0.72, 0.715, arch) * ahead
    stone = sample(court.plaster, x / 1.3, height / 1.3) * 0.8
    joint = np.abs(np.arctan2(height - 1.75, x - 0.9) / 0.28 % 1 - 0.5)
    joint = np.where(height < 1.75, np.abs(height / 0.36 % 1 - 0.5), joint)
    stone = stone * (1 - 0.5 * step(0.47, 0.495, joint))[:, None]
    shades = 1 + 0.22 * sample(court.clouds, x / 6, height / 6)
    albedo = mix(mix(albedo * shades[:, None], stone, frame), board, door)
    albedo = albedo * (1 - 0.6 * door * step(0.5, 0.56, arch))[:, None]
    normal = np.zeros_like(place)
    normal[:, 2] = -np.sign(place[:, 2])
    return _wall(court, place, albedo, x, normal, bare=frame)


def _side_wall(court: Courtyard, place: Vectors) -> Vectors:
    """Return a plastered wall; bricks show where the plaster has come off."""
    along, height = place[:, 2], place[:, 1]
    albedo = sample(court.plaster, along / 2.2, -height / 2.2)
    bare = step(1.05, 1.15, sample(court.crown, along / 6, height / 6) - 0.5 * (height - 0.9))
    albedo = mix(albedo, sample(court.brick, along, -height), bare)
    normal = np.zeros_like(place)
    normal[:, 0] = -np.sign(place[:, 0])
    return _wall(court, place, albedo, along, normal, bare=np.zeros_like(along))


def _over_the_wall(court: Courtyard, place: Vectors, directions: Vectors) -> Vectors:
    """Return the sky, with the crown of a tree that leans over one wall."""
    light = sky(court, directions)
    around = np.arctan2(directions[:, 0], -directions[:, 2])
    away = np.hypot((around + 0.85) / 0.42, (directions[:, 1] - 0.52) / 0.3)
    rough = sample(court.crown, around * 0.5, directions[:, 1] * 0.6)
    fine = sample(court.leaves, around * 0.55, directions[:, 1] * 0.75)
    crown = step(0.0, 0.12, 1.0 - away + 0.16 * rough + 0.16 * fine - 0.1)
    shine = np.clip(0.5 + 0.3 * fine + 0.25 * rough, 0.08, 1.6)[:, None]
    green = np.array([0.16, 0.25, 0.05], dtype=np.float32)
    return mix(light, shine * green, crown)
