"""Benchmark of reading a USD stage: against the bare open and walk of the same stage.

``python benchmarks/usd.py [--size small|full] [--json]``

Small: 250 materials and 1,000 image uses; full: 5,000 and 20,000. The bare run opens the stage and
asks every attribute that is written for its value; all run in the same call, several times and in
turn, and the fastest run of each counts. ``survey`` is the whole of a survey, its readings and
checks included, with 64 small pictures on disk that the uses share and that were measured before;
``primed`` writes the layer that declares all pictures and
converts all colours.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import numpy as np
from _figures import seconds, show

from primecoat import jobs, workflow
from primecoat.images.oiio import write_pixels
from primecoat.scenes.formats import usd
from primecoat.scenes.model import DATA_SLOTS, Edit, Scene
from primecoat.scenes.usd import door

SIZES = {"small": 250, "full": 5000}
RUNS = 3
SHARED = 16
"""Materials that have pictures of their own; the others use theirs again."""

MAPS = (
    ("color", "rgb", "sRGB", "color3f inputs:diffuseColor"),
    ("metal", "r", "raw", "float inputs:metallic"),
    ("rough", "g", "raw", "float inputs:roughness"),
    ("normal", "rgb", "raw", "normal3f inputs:normal"),
)


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    count = SIZES[arguments.size]
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
        path = Path(folder) / "stage.usda"
        path.write_text(stage_text(count))
        write_pictures(path.parent / "tex")
        figures = measure(path)
    figures |= {"materials": count, "uses": count * len(MAPS), "cores": jobs.cores()}
    show("usd", figures, as_json=arguments.json)
    return 0


def stage_text(count: int) -> str:
    """Return a stage of materials with four pictures each."""
    lines = ["#usda 1.0", '(\n    defaultPrim = "World"\n)', 'def Scope "World"\n{']
    for number in range(count):
        home = f"/World/m{number:05d}"
        inputs = "".join(
            f"        {place}.connect = <{home}/{name}.outputs:{output}>\n"
            for name, output, _, place in MAPS
        )
        lines.append(
            f'def Material "m{number:05d}"\n{{\n'
            f"    token outputs:surface.connect = <{home}/surface.outputs:surface>\n"
            '    def Shader "surface"\n    {\n'
            '        uniform token info:id = "UsdPreviewSurface"\n'
            "        color3f inputs:emissiveColor = (0.1, 0.2, 0.3)\n"
            f"{inputs}        token outputs:surface\n    }}"
        )
        for name, output, word, _ in MAPS:
            kind = "float3" if output == "rgb" else "float"
            lines.append(
                f'    def Shader "{name}"\n    {{\n'
                '        uniform token info:id = "UsdUVTexture"\n'
                f"        asset inputs:file = @./tex/m{number % SHARED:05d}_{name}.png@\n"
                f'        token inputs:sourceColorSpace = "{word}"\n'
                f"        float2 inputs:st.connect = <{home}/st.outputs:result>\n"
                f"        {kind} outputs:{output}\n    }}"
            )
        lines.append(
            '    def Shader "st"\n    {\n'
            '        uniform token info:id = "UsdPrimvarReader_float2"\n'
            '        string inputs:varname = "st"\n        float2 outputs:result\n    }\n}'
        )
    return "\n".join((*lines, "}", ""))


def write_pictures(folder: Path) -> None:
    """Write the pictures that the stage names: noise, 8 by 8 pixels."""
    folder.mkdir()
    for number in range(SHARED):
        for name, *_ in MAPS:
            codes = np.random.default_rng(number).integers(0, 256, (8, 8, 3), dtype=np.uint8)
            write_pixels(folder / f"m{number:05d}_{name}.png", codes)


def measure(path: Path) -> dict[str, float]:
    """Return seconds and ratios."""
    bare_walk(path)  # what the library does once is not counted
    workflow.survey(path, workers=1)
    bare, walked, read, surveyed = [], [], [], []
    for _ in range(RUNS):
        walked.append(seconds(lambda: bare_walk(path, values=False)))
        bare.append(seconds(lambda: bare_walk(path)))
        read.append(seconds(lambda: usd.read(path, path.name)))
        surveyed.append(seconds(lambda: workflow.survey(path, workers=1)))
    scene = usd.read(path, path.name)
    edits = changes(scene)
    target = path.with_name("stage.primed.usda")
    primed = seconds(lambda: usd.changed(path, edits, target))
    return {
        "bare_seconds": min(bare),
        "bare_without_values_seconds": min(walked),
        "read_seconds": min(read),
        "read_cost_ratio": min(read) / min(bare),
        "read_cost_ratio_without_values": min(read) / min(walked),
        "survey_seconds": min(surveyed),
        "survey_cost_ratio": min(surveyed) / min(bare),
        "survey_cost_ratio_without_values": min(surveyed) / min(walked),
        "primed_seconds": primed,
        "primed_cost_ratio": primed / min(bare),
        "edits": len(edits),
    }


def bare_walk(path: Path, *, values: bool = True) -> int:
    """Open a stage and walk over all that is written in it; return how many attributes."""
    stage, count = door.Usd.Stage.Open(str(path)), 0
    for prim in stage.Traverse():
        for attribute in prim.GetAuthoredAttributes():
            count += 1
            if values:
                attribute.Get()
    return count


def changes(scene: Scene) -> list[Edit]:
    """Return the edits that declare all pictures and convert all colours."""
    edits = []
    for use in scene.uses:
        if use.declared_at is not None:
            space = "data" if use.slot in DATA_SLOTS else "srgb_rec709_scene"
            before = use.declared or ""
            edits.append(Edit(place=use.declared_at.place, before=before, after=space))
    for value in scene.colours:
        place = value.location.place
        edits.append(
            Edit(place=f"{place}/values", before="lin_rec709_scene", after="lin_ap1_scene")
        )
        edits.append(Edit(place=f"{place}/colorSpace", before="", after="lin_ap1_scene"))
    return edits


if __name__ == "__main__":
    sys.exit(main())
