"""Follow paths of light, all at once: each is traced once and carried in every basis."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.carried import CHANNELS, Carried, carried
from primecoat.proof.paths.dome import REC709_Y, PreparedDome, arriving, drawn_direction, prepared
from primecoat.proof.paths.lamps import FAR, Lamp, sent
from primecoat.proof.paths.met import Met, Shapes, met, shapes_of
from primecoat.proof.paths.model import Dome, Stage
from primecoat.proof.paths.scattering import drawn, scattered
from primecoat.proof.paths.shadow import let_through

Floats = NDArray[np.float32]
Bools = NDArray[np.bool_]

_APART = 1e-4
"""How far from a surface a ray starts, metres for each metre of its place's distance from 0."""

_SURE_BOUNCES = 3
_CHANCES = 9
"""Chances that a path uses at each meeting, in this order: opacity; which light, and two to draw
a direction; three to scatter; one to go on; one spare so that rows are whole."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A stage ready to be traced."""

    shapes: Shapes
    lamps: tuple[Lamp, ...]
    dome: PreparedDome | None

    @property
    def lights(self) -> int:
        """How many lights can be drawn."""
        return len(self.lamps) + (self.dome is not None)


def prepare(stage: Stage) -> Prepared:
    """Make a stage ready; it may have one dome.

    Raises
    ------
    ValueError
        If it has more.
    """
    domes = [light for light in stage.lights if isinstance(light, Dome)]
    if len(domes) > 1:
        raise ValueError(f"a stage has {len(domes)} domes; one is traced")
    lamps = tuple(light for light in stage.lights if not isinstance(light, Dome))
    return Prepared(shapes_of(stage), lamps, prepared(domes[0]) if domes else None)


def trace(
    stage: Prepared,
    origins: Floats,
    ways: Floats,
    chances: np.random.Generator,
    *,
    bounces: int = 6,
) -> tuple[Carried, NDArray[np.int32]]:
    """Return the light that comes back along rays, and the surface that each meets first.

    Paths do not steer by the colour that they carry, so the same chances give the same paths
    whatever the pictures are read as, unless roughness, normals or opacity differ.

    Parameters
    ----------
    stage
        From :func:`prepare`.
    origins, ways
        Shape (n, 3); ways are unit vectors.
    chances
        Where chance comes from; the same state gives the same light.
    bounces
        How many surfaces a path meets at most.

    Returns
    -------
    tuple of numpy.ndarray
        Radiance (n, CHANNELS); number of the first surface (n,), -1 for none.
    """
    count = len(origins)
    light = np.zeros((count, CHANNELS), np.float32)
    first = np.full(count, -1, np.int32)
    wave = _Wave(
        path=np.arange(count),
        start=np.asarray(origins, np.float32),
        way=np.asarray(ways, np.float32),
        through=np.ones((count, CHANNELS), np.float32),
        density=np.full(count, np.inf, np.float32),
        by_dome=np.zeros(count, np.float32),
    )
    for bounce in range(bounces + 1):
        chance = chances.random((count, _CHANCES), np.float32)[wave.path]
        hits = stage.shapes.triangles.first(wave.start, wave.way)
        gone = hits.triangle < 0
        if stage.dome is not None and gone.any():
            lost = wave.only(gone)
            light[lost.path] += lost.through * _from_the_dome(stage.dome, lost)
        wave, chance = wave.only(~gone), chance[~gone]
        if not len(wave.path) or bounce == bounces:
            break
        found = met(stage.shapes, hits.only(~gone), wave.way)
        if bounce == 0:
            first[wave.path] = found.surface
        solid = chance[:, 0] < found.opacity
        if found.emission is not None:
            light[wave.path[solid]] += (wave.through * found.emission)[solid]
        out = _in_frame(found.frame, -wave.way)
        by_dome = np.zeros(len(wave.path), np.float32)
        if stage.lights:
            back, by_dome = _direct(stage, found, out, chance[:, 1:4])
            light[wave.path] += wave.through * back * solid[:, None]
        wave = _onward(wave, found, out, solid, by_dome, chance[:, 4:7])
        if bounce >= _SURE_BOUNCES:
            wave = _thinned(wave, chance[:, 7])
        wave = wave.only(wave.through.max(axis=1) > 0.0)
    return light, first


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wave:
    """Paths that are still on their way.

    ``density`` is that of the last direction drawn, by solid angle, infinite from the eye;
    ``by_dome`` how likely the dome was drawn where it was drawn.
    """

    path: NDArray[np.intp]
    start: Floats
    way: Floats
    through: Carried
    density: Floats
    by_dome: Floats

    def only(self, kept: NDArray[np.bool_]) -> _Wave:
        return _Wave(
            path=self.path[kept],
            start=self.start[kept],
            way=self.way[kept],
            through=self.through[kept],
            density=self.density[kept],
            by_dome=self.by_dome[kept],
        )


def _onward(
    wave: _Wave, found: Met, out: Floats, solid: Bools, by_dome: Floats, chance: Floats
) -> _Wave:
    """Return the paths after one meeting: scattered, or straight on where it is open."""
    into = drawn(found.matter, out, chance)
    share, likely = scattered(found.matter, out, into)
    share[solid] /= np.maximum(likely[solid], 1e-20)[:, None]
    share[~solid] = 1.0
    beyond = np.einsum("nk,nkx->nx", into, found.frame)
    way = np.where(solid[:, None], beyond, wave.way).astype(np.float32)
    side = np.where(_dot(way, found.outward) > 0.0, 1.0, -1.0)
    share[solid & (side < 0.0)] = 0.0  # below the flat triangle
    start = found.place + side[:, None] * found.outward * _gap(found.place)
    return _Wave(
        path=wave.path,
        start=start.astype(np.float32),
        way=way,
        through=wave.through * share,
        density=np.where(solid, likely, wave.density).astype(np.float32),
        by_dome=np.where(solid, by_dome, wave.by_dome),
    )


def _thinned(wave: _Wave, chance: Floats) -> _Wave:
    """End some paths that carry little; the others carry more for them."""
    stay = np.clip(wave.through.max(axis=1), 0.05, 0.95)
    through = np.where((chance < stay)[:, None], wave.through / stay[:, None], 0.0)
    return replace(wave, through=through.astype(np.float32))


def _gap(place: Floats) -> Floats:
    return np.asarray(_APART * np.maximum(1.0, np.abs(place).max(axis=1, keepdims=True)))


def _dot(one: Floats, other: Floats) -> Floats:
    """Return the products of vectors, shape (n, 3), with others, (n, 3) or (3,)."""
    found = one[:, 0] * other[..., 0]
    found += one[:, 1] * other[..., 1]
    found += one[:, 2] * other[..., 2]
    return np.asarray(found, np.float32)


def _in_frame(frame: Floats, ways: Floats) -> Floats:
    return np.asarray(np.einsum("nkx,nx->nk", frame, ways), np.float32)


def _from_the_dome(dome: PreparedDome, wave: _Wave) -> Carried:
    """Return the dome's light; what could also be drawn counts by the balance of the chances."""
    radiance, drawable = arriving(dome, wave.way)
    weight = 1.0 / (1.0 + drawable * wave.by_dome / np.maximum(wave.density, 1e-20))
    return np.asarray(carried(radiance) * weight[:, None], np.float32)


def _direct(stage: Prepared, found: Met, out: Floats, chance: Floats) -> tuple[Carried, Floats]:
    """Return the light that one drawn light sends off each surface by ``out``.

    Lights are drawn by what they would send without anything in the way; the second result is how
    likely the dome is drawn, shape (n,).
    """
    count = len(out)
    normal = found.frame[:, 2]
    toward, reach = np.zeros((count, 3), np.float32), np.full(count, FAR, np.float32)
    radiance, sky = np.zeros((count, 3), np.float32), np.zeros(count, np.float32)
    lamps = [sent(lamp, found.place, chance[:, 1:3]) for lamp in stage.lamps]
    share = np.empty((count, stage.lights), np.float32)
    for number, (way, light, _) in enumerate(lamps):
        share[:, number] = _dot(light, REC709_Y) * np.maximum(_dot(way, normal), 0.02)
    if stage.dome is not None:
        share[:, -1] = stage.dome.power
    share += share.sum(axis=1, keepdims=True) * np.float32(0.02) + np.float32(1e-20)
    share /= share.sum(axis=1, keepdims=True)
    below = np.cumsum(share[:, :-1], axis=1)
    picked = (chance[:, :1] >= below).sum(axis=1)
    for number, (way, light, apart) in enumerate(lamps):
        mine = picked == number
        toward[mine], radiance[mine], reach[mine] = way[mine], light[mine], apart[mine]
    by_dome = np.zeros(count, np.float32)
    if stage.dome is not None:
        by_dome = share[:, -1]
        mine = picked == len(stage.lamps)
        toward[mine] = drawn_direction(stage.dome, chance[mine, 1:3])
        radiance[mine], sky[mine] = arriving(stage.dome, toward[mine])
    part, likely = scattered(found.matter, out, _in_frame(found.frame, toward))
    facing = _dot(toward, found.outward) > 0.0
    start = (found.place + found.outward * _gap(found.place)).astype(np.float32)
    open_way = facing * let_through(stage.shapes, start, toward, reach)
    chosen = np.take_along_axis(share, picked[:, None], axis=1)[:, 0]
    weight = 1.0 / np.where(sky > 0.0, sky * chosen + likely, chosen)
    light = np.asarray(part * carried(radiance) * (weight * open_way)[:, None], np.float32)
    return light, by_dome
