"""The card rendered by the light paths of the proof, from its written file, as a program reads it.

Geometry, materials, camera and lights come from ``card.usda`` or ``card.gltf`` by way of the
proof's own stage; how pictures, colours and lamps are read is the simulated program's, by the
published matrices and curves of ``card_renderer.py``. Light adds up: each lamp is traced alone,
and what shines itself once, so that no light is drawn by chance.

Run ``python -m tests.proof.card_by_paths`` for all forty programs (some minutes).
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from tests.proof import card_renderer
from tests.proof.card_rays import HEIGHT, POSES, WIDTH
from tests.proof.card_renderer import Program, numbers_read
from tests.proof.loaded_card import Card, load_card

from primecoat import workflow
from primecoat.images.oiio import read_pixels
from primecoat.proof.card.inputs import INPUTS
from primecoat.proof.paths.carried import numbers_of, seen
from primecoat.proof.paths.model import Input, Stage
from primecoat.proof.paths.picture import _ways
from primecoat.proof.paths.proof import source_of
from primecoat.proof.paths.scenario import today
from primecoat.proof.paths.surfaces import Bound
from primecoat.proof.paths.trace import prepare, trace
from primecoat.reading.colours import ColourReading

Floats = NDArray[np.float32]

FINER = 1
"""Paths a side of a pixel."""


@dataclass(slots=True)
class ProgramPictures:
    """Stands where the proof reads pictures and colours; see ``surfaces.Pictures``."""

    card: Card
    program: Program
    problems: dict[str, str] = field(default_factory=dict)

    def _stored(self, bound: Bound) -> tuple[str, NDArray[np.float64]]:
        path = bound.image.record.files[0]
        stem = path.name.partition(".")[0]
        key = "environment" if "environment" in stem else card_renderer._KEYS.get(stem, stem)
        pixels = read_pixels(path)
        scale = np.iinfo(pixels.dtype).max if pixels.dtype.kind == "u" else 1.0
        return key, pixels[..., :3].astype(float) / scale

    def light(self, bound: Bound, _scenario: object) -> Floats:
        key, values = self._stored(bound)
        made = INPUTS[key].made_as if key in INPUTS else "lin_rec709_scene"
        reading = self.program.read.get(key, made)
        return self._from(numbers_read(values, reading, self.program.working))

    def numbers(self, bound: Bound, _scenario: object) -> Floats:
        key, values = self._stored(bound)
        reading = self.program.read.get(key, "data")
        bare = reading.removesuffix("_green_down")
        read = numbers_read(values, bare, "rec709")
        if bare != reading:
            read[..., 1] = 1.0 - read[..., 1]
        letters = bound.use.scene_use.use.channels
        return read[..., ["rgb".index(letter) for letter in letters]].astype(np.float32)

    def colour(self, value: ColourReading, _scenario: object) -> tuple[float, float, float]:
        key = "emission" if value.value.slot == "emissive" else "constant"
        reading = self.program.read.get(key, "lin_rec709_scene")
        row = numbers_read(np.array(value.value.value), reading, self.program.working)
        return tuple(self._from(row).tolist())

    def lamp(self, value: ColourReading, _scenario: object) -> tuple[float, float, float]:
        place = value.value.location.place
        if place.startswith("/extensions"):  # glTF: by number, in the order of the file
            name = ("main_light", "lamp_light")[int(place.split("/")[4])]
        else:
            name = place.rsplit("/", 1)[1].partition(".")[0]
        if name == "sky":
            return 1.0, 1.0, 1.0
        row = card_renderer._light(self.card, name, self.program)
        return tuple(self._from(np.asarray(row)).tolist())

    def _from(self, working: NDArray[np.float64]) -> Floats:
        back = card_renderer._to_working(self.program.working, "rec709")
        return np.asarray(working @ back.T, np.float32)


@cache
def _source(folder: Path, name: str) -> Any:
    return source_of(workflow.survey(folder / name))


def stage_of(folder: Path, program: Program, name: str = "card.usda") -> Stage:
    """Return the card's stage as a program reads it."""
    found = _source(folder, name)
    found._pictures = ProgramPictures(load_card(folder), program)
    made = found.stage(today())
    assert isinstance(made, Stage)
    return made


def _single(stage: Stage) -> list[Stage]:
    """Return the stage once for each light without emission, and once with emission alone."""
    dark = Input(factor=(0.0, 0.0, 0.0))
    unlit = tuple(
        replace(mesh, surface=replace(mesh.surface, emission=dark)) for mesh in stage.meshes
    )
    shining = replace(stage, lights=())
    return [shining, *(replace(stage, meshes=unlit, lights=(light,)) for light in stage.lights)]


def render(
    folder: Path, program: Program, seed: int, *, name: str = "card.usda", finer: int = FINER
) -> NDArray[Any]:
    """Return the picture a program makes, shape (HEIGHT, WIDTH, 3)."""
    stage = stage_of(folder, program, name)
    ways = _rays(stage, program.pose, finer)
    start = np.broadcast_to(np.array(stage.camera.place, np.float32), ways.shape)
    start = np.ascontiguousarray(start)
    chances = np.random.default_rng(seed)
    total = np.zeros((len(ways), 3))
    for part in _single(stage):
        ready = prepare(part)
        for first in range(0, len(ways), 1 << 17):
            here = slice(first, first + (1 << 17))
            light, _ = trace(ready, start[here], ways[here], chances, bounces=1)
            total[here] += numbers_of(seen(light, program.working), program.working)
    shape = (HEIGHT, finer, WIDTH, finer, 3)
    mean = total.reshape(shape).mean(axis=(1, 3)).astype(np.float32) * 2.0**program.stops
    noisy = mean * (1 + program.noise * chances.standard_normal(mean.shape, np.float32))
    shown = noisy if program.view is None else card_renderer._through(noisy, program)
    if program.eight_bit:
        return np.asarray(np.rint(np.clip(shown, 0, 1) * 255), np.uint8)
    return np.asarray(shown, np.float32)


def _rays(stage: Stage, pose: str, finer: int) -> Floats:
    across = (np.arange(WIDTH * finer) + 0.5) / finer
    down = (np.arange(HEIGHT * finer) + 0.5) / finer
    px, py = np.meshgrid(across, down)
    full = np.stack((px, py, np.ones_like(px)), axis=-1).reshape(-1, 3)
    full = full @ np.linalg.inv(POSES[pose]).T
    x, y = full[:, 0] / full[:, 2], full[:, 1] / full[:, 2]
    return _ways(stage.camera, (x - WIDTH / 2) / HEIGHT, (HEIGHT / 2 - y) / HEIGHT)


def wrong_answers(found: Any, program: Program, lacks: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return what a reading of a render says that is not what the program did."""
    space = {"rec709": "lin_rec709_scene", "ap1": "lin_ap1_scene"}[program.working]
    wrong: dict[str, Any] = {}
    for one in found.inputs:
        wanted = program.read.get(one.key, INPUTS[one.key].made_as)
        if one.key in lacks:
            wanted = "not_there"
        best = one.answers[0]
        if one.standing != "settled" or wanted not in (best.reading, *best.same):
            wrong[one.key] = one.standing, wanted, [(a.reading, a.confidence) for a in one.answers]
    if found.working[0].reading != space:
        wrong["working space"] = found.working
    if abs(found.stops - program.stops) > 0.03:
        wrong["stops"] = found.stops
    baked = program.view is not None
    if found.view is None or baked != found.view.baked:
        wrong["view"] = found.view
    elif program.view is not None and program.view[1:] not in found.view.names:
        wrong["view"] = found.view.names
    return wrong


def main() -> int:
    """Render the card as all forty programs read it, and read every render."""
    from tests.proof.programs import PROGRAMS

    from primecoat.proof.card import read_card, write_card

    bad = 0
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "card"
        write_card(folder)
        for program in PROGRAMS:
            path = card_renderer.write(
                Path(home), program, render(folder, program, len(program.name))
            )
            said = program.say and program.view is None
            space = {"rec709": "lin_rec709_scene", "ap1": "lin_ap1_scene"}[program.working]
            wrong = wrong_answers(read_card(path, space=space if said else None), program)
            bad += bool(wrong)
            words = wrong or "right"
            print(f"{program.name:40} {words}", flush=True)
    print(f"{len(PROGRAMS) - bad} of {len(PROGRAMS)} read right in everything")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
