"""Pictures made by hand or by rule: prints, emblems, writing, glow, tints."""

from __future__ import annotations

import numpy as np

from evaluation.contents.content import Content, Floats, Rng, Shape, colour
from evaluation.contents.palette import METALS, swatch
from evaluation.contents.surface import grain
from primecoat.demo.noise import blur, cells, grid
from primecoat.demo.paint import mix, step, unit


def emblem_mask(rng: Rng, shape: Shape) -> np.ndarray:
    """Return a shape in the middle, 0 or 1 with soft borders: rings, stars, letters."""
    u, v = grid(shape)
    x, y = u * 2 - 1, v * 2 - 1
    away, turn = np.hypot(x, y), np.arctan2(y, x)
    kind = int(rng.integers(4))
    field: Floats
    if kind == 0:
        field = 0.1 - np.abs(away - rng.uniform(0.3, 0.8))
    elif kind == 1:
        field = rng.uniform(0.3, 0.7) * (1 + 0.4 * np.cos(int(rng.integers(3, 9)) * turn)) - away
    elif kind == 2:
        field = _strokes(rng, u, v)
    else:
        found = cells(u, v, (int(rng.integers(3, 12)),) * 2, int(rng.integers(1 << 31)), 0.2)
        field = rng.uniform(0.2, 0.4) - found.nearest
    soft = float(rng.uniform(0.005, 0.03))
    return np.asarray(step(-soft, soft, np.asarray(field, np.float32)))


def _strokes(rng: Rng, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Return the signed distance to lines of strokes, as letters are made of."""
    rows, across = int(rng.integers(2, 9)), int(rng.integers(4, 20))
    row, column = np.floor(v * rows), np.floor(u * across)
    dice = (np.sin(row * 12.9898 + column * 78.233 + float(rng.uniform(0, 9))) * 43758.5) % 1
    x, y = u * across % 1 - 0.5, v * rows % 1 - 0.5
    upright = 0.09 - np.abs(x + 0.25)
    level = 0.07 - np.abs(y - (dice * 5 % 1 - 0.5) * 0.6)
    bend = 0.08 - np.abs(np.hypot(x, y) - 0.28)
    stroke = np.where(dice < 0.4, np.maximum(upright, level), np.maximum(upright, bend))
    within = (np.abs(x) < 0.4) & (np.abs(y) < 0.38) & (dice > 0.12)
    return np.where(within, stroke, -0.2)


def print_(rng: Rng, shape: Shape) -> Content:
    """Return a pattern or an emblem in a few flat inks."""
    inks = [swatch(rng, str(rng.choice(("dye", "pastel", "dark", "neutral")))) for _ in range(4)]
    inks[0] = np.array([0.9, 0.9, 0.9]) if rng.random() < 0.4 else inks[0]
    page = np.broadcast_to(inks[0], (*shape, 3)).astype(np.float32)
    for ink in inks[1 : int(rng.integers(2, 5))]:
        page = mix(page, np.broadcast_to(ink, (*shape, 3)), emblem_mask(rng, shape))
    if rng.random() < 0.3:
        page = page * np.exp(0.04 * grain(rng, shape, 0.8))[..., None]
    page = np.clip(page, 0, 1)
    if rng.random() < 0.35:
        cut = emblem_mask(rng, shape)
        page = np.concatenate((page, cut[..., None]), axis=-1)
    return colour("base_color", str(rng.choice(("base_color", "picture"))), page)


def ink_only(rng: Rng, shape: Shape) -> Content:
    """Return black on white, or white on black: a grey picture that is a print, as colour."""
    drawn = emblem_mask(rng, shape)
    low, high = sorted(rng.uniform(0.02, 0.9, 2))
    drawn = drawn if rng.random() < 0.5 else 1 - drawn
    page = low + (high - low) * drawn
    if rng.random() < 0.3:
        return colour("base_color", "picture", page)
    return colour("base_color", "picture", np.repeat(page[..., None], 3, axis=-1))


def gradient(rng: Rng, shape: Shape) -> Content:
    """Return a ramp between colours."""
    u, v = grid(shape)
    turn = float(rng.uniform(0, 2 * np.pi))
    way = unit((u * np.cos(turn) + v * np.sin(turn)).astype(np.float32))
    one, two = swatch(rng, "dye"), swatch(rng, "pastel")
    ramp = mix(np.broadcast_to(one, (*shape, 3)), np.broadcast_to(two, (*shape, 3)), way)
    return colour("base_color", "base_color", ramp)


def plain(rng: Rng, shape: Shape) -> Content:
    """Return one colour, or nearly."""
    tone = swatch(rng, str(rng.choice(("dye", "pastel", "earth", "stone"))))
    noise = grain(rng, shape, 1.5) * float(rng.choice((0.0, 0.01, 0.04)))
    return colour("base_color", "base_color", np.clip(tone * np.exp(noise)[..., None], 0, 1))


def glow(rng: Rng, shape: Shape) -> Content:
    """Return what glows by itself: lines, lamps or embers; nearly all black."""
    tint = swatch(rng, "dye") / 0.9
    if rng.random() < 0.3:
        heat = step(1.0, 2.2, grain(rng, shape, 1.6))
        light = np.stack((heat, heat**2.5 * 0.6, heat**5 * 0.3), axis=-1)
    else:
        drawn = emblem_mask(rng, shape)
        halo = blur(drawn, float(rng.uniform(1, 6)))
        light = (
            tint * np.clip(drawn + 0.4 * halo, 0, 1)[..., None] * emblem_mask(rng, shape)[..., None]
        )
    return colour("emissive", "emissive", np.clip(light, 0, 1))


def specular(rng: Rng, shape: Shape) -> Content:
    """Return reflectance at normal incidence: 0.02 to 0.08 of dielectrics, more of metals."""
    level = float(rng.uniform(0.02, 0.08))
    field = np.full((*shape, 3), level, np.float32)
    if rng.random() < 0.7:
        gold = np.array(METALS[str(rng.choice(list(METALS)))], np.float32)
        field = mix(field, np.broadcast_to(gold, (*shape, 3)), emblem_mask(rng, shape))
    field = field * np.exp(0.15 * grain(rng, shape, 1.4))[..., None]
    return colour("specular_color", "specular_color", np.clip(field, 0, 1))


def tint(rng: Rng, shape: Shape) -> Content:
    """Return tint of sheen, coat, transmission or the light below a surface."""
    slot = str(rng.choice(("sheen_color", "coat_color", "transmission_color", "subsurface_color")))
    tone = swatch(rng, "pastel" if slot != "subsurface_color" else "earth")
    field = tone * np.exp(float(rng.uniform(0.03, 0.3)) * grain(rng, shape, 2.0))[..., None]
    return colour(slot, slot, np.clip(field, 0, 1))
