"""All picture files of the demo scene, with as much said about colour as the scenario wants."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.demo import emblems, masonry, materials, pottery
from primecoat.demo.courtyard import build_courtyard
from primecoat.demo.environment import panorama, photograph, seen
from primecoat.demo.faults import (
    BENT_NORMALS,
    BERRY,
    FOREIGN_PROFILE,
    LOW_RANGE,
    MISSING,
    SIXTEEN_BIT,
    STALE_TOKEN,
    TWO_READINGS,
)
from primecoat.demo.noise import Field, Shape
from primecoat.demo.normals import (
    normal_codes,
    normal_codes_through_curve,
    normals_from_height,
)
from primecoat.demo.paint import (
    Surface,
    cavity,
    codes8,
    codes16,
    hue,
    layers,
    mix,
    shade,
    step,
    unit,
)
from primecoat.images.icc_write import matrix_profile
from primecoat.images.oiio import write_pixels

SRGB = "srgb_rec709_scene"
_SHAPE: Shape = (512, 512)


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFile:
    """A picture and how it is stored; the fields are those of ``write_pixels``."""

    path: str
    pixels: NDArray[Any]
    pixel_type: str | None = None
    statement: str | None = None
    attributes: tuple[tuple[str, Any], ...] = ()

    def write(self, folder: Path) -> None:
        """Write the picture below a folder."""
        write_pixels(
            folder / self.path,
            self.pixels,
            pixel_type=self.pixel_type,
            statement=self.statement,
            attributes=dict(self.attributes),
        )


def picture_files(clean: bool) -> Iterator[PictureFile]:
    """Give all pictures, one after the other; ``clean`` for the twin without faults."""
    yield from _teapot()
    yield from _brass()
    yield from _cup()
    yield from _saucer(clean)
    yield from _bowl(clean)
    yield from _sugar_jar(clean)
    yield from _jam(clean)
    yield from _milk_jug()
    if clean:
        yield _color(MISSING.healthy, materials.cork(_SHAPE))
    yield from _oak()
    yield from _cloth()
    yield from _walls()
    yield from _emblems()
    yield from _courtyard(clean)


def _named(name: str, pixels: NDArray[Any], **more: Any) -> PictureFile:
    flat = pixels if pixels.ndim == 3 else pixels[..., None]
    return PictureFile(path=f"textures/{name}", pixels=flat, **more)


def _color(path: str, surface: Surface, **more: Any) -> PictureFile:
    return PictureFile(path=path, pixels=codes8(surface.colour), **more)


def _photo(name: str, colour: NDArray[np.floating[Any]]) -> PictureFile:
    return _named(name, codes8(colour), attributes=(("compression", "jpeg:90"),))


def _normal(name: str, height: Field, strength: float) -> PictureFile:
    return _named(name, normal_codes(normals_from_height(height, strength)))


def _in_green(field: Field) -> NDArray[np.uint8]:
    """Return a grey picture, so that whatever channel is read holds the same."""
    return codes8(layers(field, field, field))


def _teapot() -> Iterator[PictureFile]:
    glaze = pottery.celadon(_SHAPE)
    zero = np.zeros_like(glaze.height)
    packed = layers(cavity(glaze.height, 6, 3.5), glaze.roughness, zero)
    yield _color("textures/teapot_color.png", glaze, statement=SRGB)
    yield _normal("teapot_normal.png", glaze.height, 7)
    yield _named("teapot_occlusion_roughness_metalness.png", codes8(packed))
    coat = np.clip(0.03 + 0.5 * (1 - cavity(glaze.height, 3, 5)) + 0.1 * glaze.roughness, 0, 1)
    yield _named("teapot_coat_roughness.png", _in_green(coat))


def _brass() -> Iterator[PictureFile]:
    metal = materials.brass(_SHAPE)
    bare = materials.bare_metal(metal)
    yield _color("textures/brass_color.png", metal)
    packed = layers(np.zeros_like(bare), metal.roughness, bare)
    yield _named("brass_roughness_metalness.png", codes8(packed))
    yield _normal("brass_normal.png", metal.height, 5)
    yield _named("spoon_glossiness.png", codes8(1 - metal.roughness))
    yield _named("spoon_metalness.png", codes8(bare))


def _cup() -> Iterator[PictureFile]:
    glaze = pottery.cobalt(_SHAPE)
    yield _color("textures/cup_color.png", glaze, statement=SRGB)
    yield _named("cup_specular_color.png", codes8(pottery.gold_rim(_SHAPE)))
    yield _named("cup_roughness.png", codes8(glaze.roughness))


def _saucer(clean: bool) -> Iterator[PictureFile]:
    glaze = pottery.stoneware(_SHAPE)
    said = SRGB if clean else None
    yield PictureFile(path=SIXTEEN_BIT.path(clean), pixels=codes16(glaze.colour), statement=said)
    yield PictureFile(path=STALE_TOKEN.path(clean), pixels=_in_green(glaze.roughness))


def _bowl(clean: bool) -> Iterator[PictureFile]:
    glaze = pottery.tenmoku(_SHAPE)
    if clean:
        yield _color(FOREIGN_PROFILE.healthy, glaze, statement=SRGB)
    else:
        profile = (("ICCProfile", matrix_profile("srgb_p3d65_scene", "Display P3")),)
        yield _color(FOREIGN_PROFILE.where, glaze, attributes=profile)
    normals = normals_from_height(glaze.height, 9)
    codes = normal_codes(normals) if clean else normal_codes_through_curve(normals)
    yield PictureFile(path=BENT_NORMALS.path(clean), pixels=codes)
    yield _named("bowl_height.png", codes16(glaze.height))
    yield _named("bowl_mask.png", codes8(step(0.41, 0.46, glaze.height)))


def _sugar_jar(clean: bool) -> Iterator[PictureFile]:
    glaze = pottery.turquoise(_SHAPE)
    yield _color(TWO_READINGS.where, glaze)
    if clean:
        yield PictureFile(
            path=TWO_READINGS.healthy, pixels=codes8(cavity(glaze.height, 12, 2.2))[..., None]
        )
    yield _normal("sugar_jar_normal.png", glaze.height, 10)


def _jam(clean: bool) -> Iterator[PictureFile]:
    fruit = materials.jam(_SHAPE)
    yield _color(BERRY.path(clean), fruit)
    clear = np.clip(1 - 0.75 * unit(fruit.height) ** 2 - 0.4 * fruit.roughness, 0, 1)
    yield _named("jam_transmission.png", codes8(clear))


def _milk_jug() -> Iterator[PictureFile]:
    glaze = pottery.two_dips(_SHAPE)
    yield _color("textures/milk_jug_color.png", glaze, statement=SRGB)
    tint = mix(hue("3a3a3a"), hue("4a4038"), unit(glaze.height))
    gloss = (1 - glaze.roughness)[..., None]
    packed = np.concatenate((tint, gloss), axis=-1)
    yield _named("milk_jug_specular_glossiness.png", codes8(packed))


def _oak() -> Iterator[PictureFile]:
    table = materials.oak(_SHAPE, 4, 200)
    yield _photo("oak_board_color.jpg", table.colour)
    yield _normal("oak_board_normal.png", table.height, 4)
    tray = codes8(materials.oak((512, 1024), 3, 230).colour)
    yield _named("oak_tray_color.1001.png", tray[:, :512], statement=SRGB)
    yield _named("oak_tray_color.1002.png", tray[:, 512:], statement=SRGB)


def _cloth() -> Iterator[PictureFile]:
    weave = materials.linen(_SHAPE)
    yield _color("textures/cloth_color.png", weave)
    yield _normal("cloth_normal.png", weave.height, 3.5)
    fuzz = shade(mix(hue("8f8a80"), hue("c9c4ba"), weave.height), 0.7 + 0.3 * weave.height)
    packed = np.concatenate((fuzz, (0.35 + 0.4 * weave.roughness)[..., None]), axis=-1)
    yield _named("cloth_sheen.png", codes8(packed))


def _walls() -> Iterator[PictureFile]:
    wall, floor, plaster = masonry.brick(_SHAPE), masonry.paving(_SHAPE), masonry.plaster(_SHAPE)
    yield _photo("wall_color.jpg", wall.colour)
    yield _normal("wall_normal.png", wall.height, 6)
    yield _named("wall_occlusion.png", codes8(cavity(wall.height, 8, 1.8)))
    yield _named("wall_height.png", codes16(wall.height))
    yield _photo("paving_color.jpg", floor.colour)
    packed = (("compression", "zip"),)
    yield _named("plaster_color.tif", codes8(plaster.colour), attributes=packed)
    yield _named("plaster_roughness.tif", codes8(plaster.roughness), attributes=packed)


def _emblems() -> Iterator[PictureFile]:
    yield _named("leaf_color.png", codes8(emblems.leaf(_SHAPE)))
    yield _named("pottery_logo.png", codes8(emblems.mark(_SHAPE)), statement=SRGB)
    yield _named("lantern_emissive.png", codes8(emblems.glow((256, 512))), statement=SRGB)


def _courtyard(clean: bool) -> Iterator[PictureFile]:
    court = build_courtyard()
    light = panorama(court, (512, 1024))
    half = (("compression", "zip"),)
    yield _named("courtyard_environment.hdr", light)
    yield _named("courtyard_environment.exr", light, pixel_type="half", attributes=half)
    if clean:
        small = light.reshape(256, 2, 512, 2, 3).mean(axis=(1, 3))
        yield PictureFile(path=LOW_RANGE.healthy, pixels=small.astype(np.float32))
    else:
        yield PictureFile(path=LOW_RANGE.where, pixels=codes8(seen(light, 1.6)))
    yield _photo("courtyard_backplate.jpg", photograph(court, (540, 960)))
