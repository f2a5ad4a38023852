"""Small OpenUSD scenes for the tests of light paths: a grey plate, and one light."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from primecoat import workflow
from primecoat.proof.paths.carried import Carried, seen
from primecoat.proof.paths.model import Stage
from primecoat.proof.paths.proof import source_of
from primecoat.proof.paths.scenario import today
from primecoat.proof.paths.source import Source
from primecoat.proof.paths.trace import prepare, trace

GREY = 0.5
PLATE = """
    def Mesh "plate" (
        prepend apiSchemas = ["MaterialBindingAPI"]
    )
    {
        int[] faceVertexCounts = [4]
        int[] faceVertexIndices = [0, 1, 2, 3]
        point3f[] points = [(-5, 0, 5), (5, 0, 5), (5, 0, -5), (-5, 0, -5)]
        texCoord2f[] primvars:st = [(0, 0), (1, 0), (1, 1), (0, 1)] (
            interpolation = "vertex"
        )
        uniform token subdivisionScheme = "none"
        rel material:binding = </room/grey>
    }
    def Material "grey"
    {
        token outputs:surface.connect = </room/grey/surface.outputs:surface>
        def Shader "surface"
        {
            uniform token info:id = "UsdPreviewSurface"
            color3f inputs:diffuseColor = (0.5, 0.5, 0.5)
            float inputs:roughness = 1
            float inputs:ior = 1
            token outputs:surface
        }
    }
"""


def room(body: str, *, up: str = "Y", metres: float = 1.0) -> str:
    head = f'#usda 1.0\n(\n    defaultPrim = "room"\n    metersPerUnit = {metres}\n'
    return f'{head}    upAxis = "{up}"\n)\ndef Xform "room"\n{{\n{body}\n}}\n'


def source(folder: Path, text: str) -> Source:
    folder.mkdir(exist_ok=True)
    (folder / "room.usda").write_text(text, encoding="utf-8")
    return source_of(workflow.survey(folder / "room.usda"))


def stage(folder: Path, text: str) -> Stage:
    return source(folder, text).stage(today())


def light_along(
    made: Stage, start: tuple[float, float, float], way: tuple[float, float, float], count: int
) -> Carried:
    """Return the mean light of ``count`` paths along one ray, straight from lamps only."""
    ways = np.tile(np.array(way, np.float32), (count, 1))
    starts = np.tile(np.array(start, np.float32), (count, 1))
    light, _ = trace(prepare(made), starts, ways, np.random.default_rng(5), bounces=1)
    return np.asarray(light.mean(axis=0, keepdims=True))


def luminance(light: Carried) -> float:
    return float(seen(light, "rec709")[0, 1])
