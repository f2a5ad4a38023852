"""What a stage is made from: a scene's own geometry, or a neutral one; and what was left out."""

from __future__ import annotations

from typing import Final, Protocol

import numpy as np

from primecoat.checks.survey import Survey
from primecoat.proof.paths.model import Camera, Distant, Dome, Light, Mesh, Stage
from primecoat.proof.paths.reduced import tiles_of
from primecoat.proof.paths.scenario import TRACED, Scenario

PLAIN_LIGHT: Final = "no lights in the scene: a plain white sky (radiance 0.5) and one white sun"
_SUN = (0.40824829, 0.81649658, 0.40824829)


def sequences(survey: Survey) -> tuple[str, ...]:
    """Return in words which frame of each traced sequence is taken."""
    return tuple(
        f"{image.record.path}: {image.record.files[0].name}, the first of "
        f"{len(image.record.files)} frames, is traced"
        for image in survey.readings.images
        if len(image.record.files) > 1 and not tiles_of(image.record)
        if any(use.scene_use.use.slot in TRACED for use in image.uses)
    )


def toward_light(index: float) -> float:
    """Return what a coat of an index of refraction mirrors of light that comes straight on.

    Source: glTF 2.0, KHR_materials_ior; UsdPreviewSurface, ``ior``.

    Examples
    --------
    >>> round(toward_light(1.5), 6), toward_light(1.0)
    (0.04, 0.0)
    """
    return ((index - 1.0) / (index + 1.0)) ** 2 if index > 0.0 else 1.0


class Source(Protocol):
    """Makes the stage of a target for every way to read it; the geometry is read once."""

    @property
    def words(self) -> str:
        """What is traced, in words."""

    @property
    def notes(self) -> tuple[str, ...]:
        """What stands for what the scene does not have, and what it has that is not traced."""

    def stage(self, scenario: Scenario) -> Stage:
        """Return the stage as a scenario reads it."""


def plain_light() -> tuple[Light, ...]:
    """Return a white sky and a white sun, for scenes without light."""
    sky = Dome(radiance=np.full((8, 16, 3), 0.5, np.float32))
    return sky, Distant(toward=_SUN, irradiance=(3.0, 3.0, 3.0))


def camera_for(meshes: tuple[Mesh, ...]) -> Camera:
    """Return a camera that sees everything, from the front and a little from above."""
    points = np.concatenate([mesh.points for mesh in meshes])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    radius = max(1e-6, float(np.linalg.norm(points.max(axis=0) - points.min(axis=0))) / 2)
    away = np.array((0.35, 0.4, 0.85))
    place = middle + away / np.linalg.norm(away) * radius * 2.4
    return Camera(
        place=(float(place[0]), float(place[1]), float(place[2])),
        target=(float(middle[0]), float(middle[1]), float(middle[2])),
        height=0.8,
    )
