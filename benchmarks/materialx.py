"""Benchmark of reading a MaterialX document: against the bare read of it by the library.

``python benchmarks/materialx.py [--size small|full] [--json]``

Small: 250 materials and 1,000 image uses; full: 5,000 and 20,000. The bare run reads the document
with the library, walks over all elements and asks each for all its attributes; both run in the
same call, several times and in turn, and the fastest run of each counts. ``edit`` declares all
pictures and rewrites all colours.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from _figures import seconds, show

from primecoat import jobs
from primecoat.scenes.formats import materialx
from primecoat.scenes.materialx_file import mx
from primecoat.scenes.model import DATA_SLOTS, Edit, Scene

SIZES = {"small": 250, "full": 5000}
RUNS = 3
MAPS = (
    ("color", "color3", "base_color"),
    ("metal", "float", "metalness"),
    ("rough", "float", "specular_roughness"),
    ("normal", "vector3", "normal"),
)


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    count = SIZES[arguments.size]
    with tempfile.TemporaryDirectory(prefix="primecoat-benchmark-") as folder:
        path = Path(folder) / "document.mtlx"
        path.write_text(document_text(count), encoding="utf-8")
        figures = measure(path)
    figures |= {"materials": count, "uses": count * len(MAPS), "cores": jobs.cores()}
    show("materialx", figures, as_json=arguments.json)
    return 0


def document_text(count: int) -> str:
    """Return a document of materials with four pictures each."""
    lines = ['<?xml version="1.0"?>', '<materialx version="1.39" colorspace="lin_rec709">']
    for number in range(count):
        graph, shader = f"g{number:05d}", f"s{number:05d}"
        lines.append(f'  <nodegraph name="{graph}">')
        for name, kind, _ in MAPS:
            space = ' colorspace="srgb_texture"' if kind == "color3" else ""
            lines += [
                f'    <image name="{name}" type="{kind}">',
                f'      <input name="file" type="filename" value="tex/m{number:05d}_{name}.png"'
                f"{space} />",
                "    </image>",
                f'    <output name="{name}_out" type="{kind}" nodename="{name}" />',
            ]
        lines += [
            "  </nodegraph>",
            f'  <standard_surface name="{shader}" type="surfaceshader">',
            '    <input name="emission_color" type="color3" value="0.1, 0.2, 0.3" />',
            *(
                f'    <input name="{target}" type="{kind}" nodegraph="{graph}" '
                f'output="{name}_out" />'
                for name, kind, target in MAPS
            ),
            "  </standard_surface>",
            f'  <surfacematerial name="m{number:05d}" type="material">',
            f'    <input name="surfaceshader" type="surfaceshader" nodename="{shader}" />',
            "  </surfacematerial>",
        ]
    return "\n".join((*lines, "</materialx>", ""))


def measure(path: Path) -> dict[str, float]:
    """Return seconds and ratios."""
    bare_walk(path)  # what the library does once is not counted
    opened, bare, read = [], [], []
    for _ in range(RUNS):
        opened.append(seconds(lambda: bare_walk(path, walk=False)))
        bare.append(seconds(lambda: bare_walk(path)))
        read.append(seconds(lambda: materialx.read(path, path.name)))
    scene = materialx.read(path, path.name)
    edits = changes(scene)
    edited = seconds(lambda: materialx.edit(path.read_bytes(), edits))
    return {
        "bare_seconds": min(bare),
        "bare_without_walk_seconds": min(opened),
        "read_seconds": min(read),
        "read_cost_ratio": min(read) / min(bare),
        "read_cost_ratio_without_walk": min(read) / min(opened),
        "edit_seconds": edited,
        "edit_cost_ratio": edited / min(bare),
        "edits": len(edits),
    }


def bare_walk(path: Path, *, walk: bool = True) -> int:
    """Read a document with the library and walk over all that is written in it; count it."""
    document, count = mx.createDocument(), 0
    mx.readFromXmlFile(document, str(path))
    if walk:
        for element in document.traverseTree():
            for name in element.getAttributeNames():
                element.getAttribute(name)
                count += 1
    return count


def changes(scene: Scene) -> list[Edit]:
    """Return the edits that declare all pictures and rewrite all colours."""
    edits = []
    for use in scene.uses:
        if use.declared_at is not None:
            after = "none" if use.slot in DATA_SLOTS else "acescg"
            before = use.declared or ""
            edits.append(Edit(place=use.declared_at.place, before=before, after=after))
    for value in scene.colours:
        if value.written_at is not None:
            place = value.written_at.place
            edits.append(Edit(place=place, before=value.written, after="0.3, 0.2, 0.1"))
    return edits


if __name__ == "__main__":
    sys.exit(main())
