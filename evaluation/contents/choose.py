"""Draw what pictures there are: sets of maps of one material, and single pictures."""

from __future__ import annotations

from collections.abc import Callable

from evaluation.contents import flatwork, made, maps, mineral, photograph, vectors
from evaluation.contents.content import Content, Rng, Shape
from evaluation.contents.surface import Surface, weathered

SURFACES: tuple[Callable[[Rng, Shape], Surface], ...] = (
    mineral.bricks,
    mineral.pebbles,
    mineral.plaster,
    mineral.plaster,
    mineral.soil,
    mineral.marble,
    mineral.glaze,
    made.planks,
    made.weave,
    made.metal,
    made.metal,
    made.leather,
    made.leaves,
    made.sheet_metal,
)

MAPS: tuple[tuple[float, Callable[[Rng, Surface], Content]], ...] = (
    (0.9, maps.base_color),
    (0.85, vectors.normals),
    (0.65, maps.roughness),
    (0.12, maps.glossiness),
    (0.3, maps.metalness),
    (0.4, maps.occlusion_map),
    (0.4, maps.height_map),
    (0.08, maps.opacity_map),
    (0.12, maps.mask),
    (0.12, maps.ids),
    (0.1, maps.curvature),
    (0.06, maps.thickness),
    (0.35, maps.packed),
)
"""How often a set holds each map."""

SINGLES: tuple[tuple[float, Callable[[Rng, Shape], Content]], ...] = (
    (5.0, photograph.photograph),
    (3.0, photograph.backplate),
    (2.5, photograph.monochrome),
    (1.0, photograph.grey_cutout),
    (1.0, photograph.high_range_backplate),
    (4.0, photograph.environment),
    (2.0, photograph.low_range_environment),
    (3.0, photograph.shaded_sphere),
    (4.0, flatwork.print_),
    (1.5, flatwork.ink_only),
    (1.0, flatwork.gradient),
    (1.5, flatwork.plain),
    (2.5, flatwork.glow),
    (2.0, flatwork.specular),
    (2.0, flatwork.tint),
    (1.0, vectors.object_normals),
    (1.0, vectors.position),
    (2.0, vectors.flow),
    (1.0, vectors.displacement),
    (1.0, vectors.depth),
)
"""How often pictures stand alone, relative to one another."""

_SIDES = (64, 96, 128, 128, 128, 160, 192, 256)


def shape_of(rng: Rng) -> Shape:
    """Return height and width in pixels, mostly square."""
    side = int(rng.choice(_SIDES))
    wide = int(rng.choice((1, 1, 1, 1, 2)))
    return (side, side * wide) if side <= 128 else (side, side)


def material(rng: Rng) -> tuple[str, tuple[Content, ...]]:
    """Return the word for a material, and a set of its maps."""
    surface = SURFACES[int(rng.integers(len(SURFACES)))](rng, shape_of(rng))
    if rng.random() < 0.5:
        surface = weathered(rng, surface)
    found = [make(rng, surface) for share, make in MAPS if rng.random() < share]
    if surface.opacity is not None and rng.random() < 0.4:
        found.append(maps.opacity_map(rng, surface))
    if (surface.name == "plaster" and rng.random() < 0.7) or rng.random() < 0.06:
        found = [c for c in found if c.slot != "base_color"]
        found.append(maps.grey_base_color(rng, surface))
    if rng.random() < 0.25:
        pieces = maps.islands(rng, surface.shape)
        found = [maps.unwrapped(rng, content, pieces) for content in found]
    once = {content.subject: content for content in found}
    return surface.name, tuple(once.values())


def single(rng: Rng) -> Content:
    """Return a picture that stands alone."""
    total = sum(share for share, _ in SINGLES)
    shares = [share / total for share, _ in SINGLES]
    _, make = SINGLES[int(rng.choice(len(SINGLES), p=shares))]
    return make(rng, shape_of(rng))
