"""How a surface scatters light: the model of glTF 2.0, appendix B, and directions drawn from it.

A diffuse base under a coat, or a metal, mixed by metalness; microfacets after GGX.
Directions are drawn from the normals that can be seen: E. Heitz, "Sampling the GGX Distribution
of Visible Normals", Journal of Computer Graphics Techniques 7(4), 2018. All vectors are in the
frame of the surface, where z is its normal.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.carried import Carried

Floats = NDArray[np.float32]

_SMOOTHEST = 1e-3
_GLOSS_SHARE = 0.3
"""Share of the rays that follow the gloss of a surface without metal; any share is right."""


@dataclass(frozen=True, slots=True)
class Matter:
    """Surfaces where paths met them: base colour (n, CHANNELS); the others (n,), 0 to 1.

    ``mirrored`` is the reflectance of the coat seen straight on: 0.04 for an index of 1.5 (glTF
    2.0, section 3.9.2).
    """

    base: Carried
    metalness: Floats
    roughness: Floats
    gloss: Floats
    mirrored: Floats


def scattered(matter: Matter, out: Floats, into: Floats) -> tuple[Carried, Floats]:
    """Return what part of the light from ``into`` leaves by ``out``, and how likely it is drawn.

    Parameters
    ----------
    matter
        The surfaces.
    out, into
        Unit vectors away from the surface, shape (n, 3).

    Returns
    -------
    tuple of numpy.ndarray
        Reflected light by radiance and solid angle, times the cosine, (n, CHANNELS); and the
        density with which :func:`drawn` gives this direction, (n,), by solid angle.
    """
    above = (into[:, 2] > 0.0) & (out[:, 2] > 0.0)
    cos_in, cos_out = np.maximum(into[:, 2], 1e-6), np.maximum(out[:, 2], 1e-6)
    half = out + into
    half /= np.maximum(np.linalg.norm(half, axis=1, keepdims=True), 1e-12)
    alpha = _alpha(matter.roughness)
    facets = _facets(half[:, 2], alpha)
    visible = _masking(cos_out, alpha)
    mirror = facets * visible * _masking(cos_in, alpha) / (4.0 * cos_in * cos_out)
    edge = (1.0 - np.clip(np.sum(out * half, axis=1), 0.0, 1.0)) ** 5
    coat = matter.gloss * (matter.mirrored + (1.0 - matter.mirrored) * edge)
    metal = matter.metalness
    without = ((1.0 - metal) * (1.0 - coat) / np.pi)[:, None] * matter.base
    with_gloss = ((1.0 - metal) * coat * mirror)[:, None]
    metallic = (metal * mirror)[:, None] * (matter.base + (1.0 - matter.base) * edge[:, None])
    light = (without + with_gloss + metallic) * (cos_in * above)[:, None]
    share = _share_of_gloss(matter)
    density = share * facets * visible / (4.0 * cos_out) + (1.0 - share) * cos_in / np.pi
    return light.astype(np.float32), np.where(above, density, 0.0).astype(np.float32)


def drawn(matter: Matter, out: Floats, chance: Floats) -> Floats:
    """Return a direction for each surface, drawn with three chances of 0 to 1, shape (n, 3)."""
    turn = 2.0 * np.pi * chance[:, 1]
    radius = np.sqrt(chance[:, 0])
    diffuse = np.stack(
        (radius * np.cos(turn), radius * np.sin(turn), np.sqrt(np.maximum(0, 1 - chance[:, 0]))),
        axis=1,
    )
    facet = _visible_facet(out, _alpha(matter.roughness), radius, turn)
    mirrored = 2.0 * np.sum(out * facet, axis=1, keepdims=True) * facet - out
    glossy = chance[:, 2] < _share_of_gloss(matter)
    return np.where(glossy[:, None], mirrored, diffuse).astype(np.float32)


def _share_of_gloss(matter: Matter) -> Floats:
    coated = _GLOSS_SHARE * matter.gloss
    return np.asarray(coated + (1.0 - coated) * matter.metalness, np.float32)


def _alpha(roughness: Floats) -> Floats:
    return np.asarray(np.maximum(roughness * roughness, _SMOOTHEST), np.float32)


def _facets(cosine: Floats, alpha: Floats) -> Floats:
    """Return the density of facets by normal (Trowbridge-Reitz)."""
    square = alpha * alpha
    bracket = cosine * cosine * (square - 1.0) + 1.0
    return np.asarray(square / (np.pi * bracket * bracket))


def _masking(cosine: Floats, alpha: Floats) -> Floats:
    """Return the share of facets that is not hidden (Smith), by 2 cos / (cos + ...)."""
    square = alpha * alpha
    root = np.sqrt(square + (1.0 - square) * cosine * cosine)
    return np.asarray(2.0 * cosine / (cosine + root))


def _visible_facet(out: Floats, alpha: Floats, radius: Floats, turn: Floats) -> Floats:
    stretched = out * np.stack((alpha, alpha, np.ones_like(alpha)), axis=1)
    stretched /= np.linalg.norm(stretched, axis=1, keepdims=True)
    level = np.hypot(stretched[:, 0], stretched[:, 1])
    safe = np.maximum(level, 1e-7)
    first = np.stack((-stretched[:, 1] / safe, stretched[:, 0] / safe, 0 * level), axis=1)
    first[level < 1e-7] = (1.0, 0.0, 0.0)
    second = np.cross(stretched, first)
    one = radius * np.cos(turn)
    lean = 0.5 * (1.0 + stretched[:, 2])
    other = (1.0 - lean) * np.sqrt(np.maximum(0.0, 1.0 - one * one)) + lean * radius * np.sin(turn)
    third = np.sqrt(np.maximum(0.0, 1.0 - one * one - other * other))
    facet = one[:, None] * first + other[:, None] * second + third[:, None] * stretched
    facet[:, :2] *= alpha[:, None]
    facet[:, 2] = np.maximum(facet[:, 2], 1e-6)
    return np.asarray(facet / np.linalg.norm(facet, axis=1, keepdims=True))
