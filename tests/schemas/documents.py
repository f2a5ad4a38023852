"""One real document of every kind, made by running every verb on small things."""

from __future__ import annotations

import contextlib
import io
import json
import os
import runpy
from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np
from tests.reading.worlds import sheet
from tests.renders.balls import balls, written
from tests.scenes import builders as b

from primecoat.cli.main import run
from primecoat.colour.ocio import DEFAULT_CONFIG

ROOT = Path(__file__).parents[2]
AP1 = "lin_ap1_scene"
VIEW = "ACES 2.0 - SDR 100 nits (Rec.709)"
HOUSE = 'roots = ["."]\n[slots]\n"*_kiln" = "emissive"\n[policy]\ncloses_gate = ["PC201"]\n'


class Documents:
    """Documents by kind, gathered in a folder; whatever prints or writes one is asked for it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.by_kind: dict[str, list[Any]] = defaultdict(list)

    def add(self, document: Any) -> None:
        self.by_kind[document["document"]].append(document)

    def verb(self, *arguments: object, code: int | None = None) -> dict[str, Any]:
        """Run a verb with ``--json``; keep and return what it printed."""
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            got = run([*map(str, arguments), "--json"])
        assert printed.getvalue(), arguments
        assert code is None or got == code, (arguments, got)
        document: dict[str, Any] = json.loads(printed.getvalue())
        self.add(document)
        return document

    def file(self, path: Path) -> None:
        self.add(json.loads(path.read_text(encoding="utf-8")))


def gather(folder: Path) -> dict[str, list[Any]]:
    """Make documents of every kind in an empty folder, which becomes the current one."""
    made = Documents(folder)
    os.chdir(folder)
    _scenes(made, folder)
    _changes(made, folder)
    _renders(made, folder)
    _colours(made, folder)
    _benchmark(made)
    return dict(made.by_kind)


def _scenes(made: Documents, folder: Path) -> None:
    """Survey a glTF scene with a tint, a light and parts, and ask what a config makes of it."""
    tea = folder / "tea"
    tea.mkdir()
    (tea / "cup.png").write_bytes(b.png(4))
    (tea / "cup_normal.png").write_bytes(b.png_of(b.normal_pixels()))
    material = {
        "name": "glaze",
        "pbrMetallicRoughness": {
            "baseColorTexture": {"index": 0},
            "baseColorFactor": [0.5, 0.4, 0.3, 1.0],
        },
        "normalTexture": {"index": 1},
    }
    lights = {"KHR_lights_punctual": {"lights": [{"type": "point", "color": [1.0, 0.5, 0.25]}]}}
    images = [{"uri": "cup.png"}, {"uri": "cup_normal.png"}]
    b.write_gltf(tea / "tea.gltf", b.gltf(images, [material], extensions=lights))
    made.verb("survey", "tea/tea.gltf", "--shard", "1/1", "--workers", "1")
    made.verb("survey", "tea/tea.gltf")
    made.verb("why", "tea/cup.png", "--in", "tea")
    made.verb("config", "read", DEFAULT_CONFIG, "tea")


def _changes(made: Documents, folder: Path) -> None:
    shop = folder / "shop"
    shop.mkdir()
    for name in ("glaze_color.png", "glaze_rough.png"):
        (shop / name).write_bytes(b.png(3, "uint8"))
    (shop / "primecoat.toml").write_text(HOUSE, encoding="utf-8")
    scene = sheet(
        shop,
        "glaze_color.png,x,base_color,,srgb_texture,",
        "glaze_rough.png,x,roughness,,,",
        "gone.png,x,roughness,,,",
        ",x,base_color,,,0.5 0.4 0.3",
    )
    run(["decide", str(scene), "glaze_rough.png", "data", "--because", "seen"])
    run(["decide", str(scene), "glaze_rough.png", "unknown"])
    run(["decide", str(scene), "glaze_rough.png", "data"])
    made.file(shop / ".primecoat" / "decisions.json")
    made.verb("survey", scene)
    made.verb("gate", scene, code=1)
    run(["report", str(scene), "--out", "report.json"])
    made.file(folder / "report.json")
    made.verb("recover", scene)
    for route in ("tag", "declare", "bake"):
        made.verb("plan", scene, "--route", route, "--out", f"{route}.json", "--from", AP1)
    made.verb("apply", "tag.json", "--dry-run")
    made.verb("apply", "tag.json")
    made.verb("undo", scene)
    made.verb("apply", "bake.json", "--shard", "1/1", "--workers", "1")
    for record in (shop / ".primecoat" / "baked").glob("*/record.json"):
        made.file(record)
    made.verb("apply", "bake.json")
    made.verb("undo", scene)
    for line in (shop / ".primecoat" / "journal.jsonl").read_text("utf-8").splitlines():
        made.by_kind["journal line"].append(json.loads(line))


def _renders(made: Documents, folder: Path) -> None:
    light = balls(64, 40)
    written(folder / "old.exr", light * np.float32(2**0.5))
    written(folder / "new.exr", light)
    spaces = ("--in-a", AP1, "--in-b", AP1, "--view-a", VIEW, "--view-b", VIEW)
    made.verb("compare", "old.exr", "new.exr", *spaces, "--pictures", "seen")
    made.verb("compare", "old.exr", "new.exr", *spaces[:4], "--align", "--noise", "new.exr")
    made.verb("match", "old.exr", "new.exr", *spaces[:6], "--out", "look", "--channels")
    made.verb("handover", "new.exr", "--as", "srgb-png", "--in", AP1, "--out", "out")
    made.verb("handover", "new.exr", "--as", "st2065-4", "--in", AP1, "--out", "aces")
    for manifest in (*folder.glob("out/*.json"), *folder.glob("out/.primecoat/handover/*.json")):
        made.file(manifest)
    (folder / "old.toml").write_text(
        'space = "lin_rec709_scene"\n[[correction]]\nexposure = 1\n[[correction]]\npower = 1.2\n'
    )
    made.verb("corrections", "old.toml")


def _colours(made: Documents, folder: Path) -> None:
    made.verb("swatch", "#b5482a")
    made.verb("swatch", "2,1,0.5", "--in", AP1, "--through", VIEW)
    made.verb("swatch", "#b5482a", "--against", VIEW)
    made.verb("swatch", "3200K")
    made.verb("swatch", "--gains", "1.1,1,0.9", "--from", "lin_rec709_scene")
    made.verb("config", "write", "--out", "house.ocio", "--from", "lin_rec709_scene")
    made.verb("config", "check", "house.ocio")
    made.verb("card", "write", "card")


def _benchmark(made: Documents) -> None:
    figures = runpy.run_path(str(ROOT / "benchmarks" / "_figures.py"))
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        figures["show"]("survey", {"images": 3, "seconds": 0.5}, as_json=True)
    made.add(json.loads(printed.getvalue()))
