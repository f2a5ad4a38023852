"""Colours, swatches, configs and renders at the desk are those of the verbs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.desk.windows import Window

from primecoat import workflow
from primecoat.desk.held import build_desk
from primecoat.desk.renders import Renders
from primecoat.desk.session import Asked
from primecoat.images.oiio import write_pixels
from primecoat.report.config_read_document import config_read_document
from primecoat.report.swatch_document import gains_document, swatch_document

BUILTIN = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"


def test_colours_before_and_after_as_the_library_shows_them(kept_window: Window):
    """Codes against OpenColorIO's own view processor, asked by the config's own names."""
    config = ocio.Config.CreateFromBuiltinConfig(BUILTIN)
    told = kept_window.get("api/colours")
    kinds = {row["kind"]: row for row in told["rows"]}
    colour = kinds["colour"]
    assert colour["value"] == [0.5, 0.4, 0.3]
    for side, space, rgb in (
        ("before", "lin_rec709_scene", colour["value"]),
        ("after", "lin_ap1_scene", colour["working"]),
        ("unconverted", "lin_ap1_scene", colour["value"]),
    ):
        view = told["old" if side == "before" else "new"]
        processor = config.getProcessor(
            ocio.DisplayViewTransform(src=space, display=view["display"], view=view["view"])
        )
        seen = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(rgb)
        assert colour[side]["numbers"] == pytest.approx(np.clip(seen, 0, 1), abs=2e-6)
        assert colour[side]["codes"] == pytest.approx(255 * np.clip(seen, 0, 1), abs=0.501)
        assert colour[side]["hex"] == "#" + bytes(colour[side]["codes"]).hex()
    assert colour["before"] != colour["after"] != colour["unconverted"]
    # IEC 61966-2-1: the sRGB curve of 0.5 is code 188
    assert colour["before"]["codes"][0] == 188


def test_colours_are_picked_by_words_and_ranges(kept_window: Window):
    assert kept_window.get("api/colours")["all"] == 2
    assert kept_window.get("api/colours", words="glaze base")["total"] == 1
    assert kept_window.get("api/colours", words="nothing")["rows"] == []
    assert len(kept_window.get("api/colours", **{"from": 1, "count": 5})["rows"]) == 1


def test_a_view_that_is_not_there_is_refused(kept_window: Window):
    answer = kept_window.ask("api/colours", view="through a glaze")
    assert answer.status_code == 400
    assert "error" in answer.json()


@pytest.mark.parametrize(
    ("query", "space"),
    [
        ({"colour": "#b5651d"}, None),
        ({"colour": "0.2,0.3,0.4", "in": "lin_rec709_scene"}, "lin_rec709_scene"),
        ({"colour": "6500K"}, None),
    ],
)
def test_a_swatch_is_that_of_the_verb(
    kept_window: Window, query: dict[str, str], space: str | None
):
    assert kept_window.get("api/swatch", **query) == swatch_document(
        workflow.swatch(query["colour"], space=space)
    )


def test_no_colour_no_swatch(kept_window: Window):
    assert kept_window.ask("api/swatch", colour="glaze").status_code == 400
    assert kept_window.ask("api/swatch").status_code == 400


def test_what_the_config_makes_of_the_names_is_that_of_the_verb(kept_window: Window):
    survey = kept_window.desk.session.state.survey
    told = kept_window.get("api/config/names")
    assert told == config_read_document(workflow.read_config(survey, BUILTIN))


def test_gains_are_those_of_the_verb(kept_window: Window):
    told = kept_window.get("api/gains", gains="1.2,1,0.8", **{"from": "lin_rec709_scene"})
    moved = workflow.gains("1.2,1,0.8", from_space="lin_rec709_scene", config=BUILTIN)
    assert told == json.loads(json.dumps(gains_document(moved, BUILTIN)))
    assert kept_window.ask("api/gains", gains="x", **{"from": "data"}).status_code == 400


def test_a_config_is_written_with_a_look_that_lies_beside_the_scene(window: Window, scene: Path):
    look = scene.parent / "warm.cc"
    # the elements of ASC CDL v1.2
    sop = "<SOPNode><Slope>2 1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode>"
    look.write_text(f'<ColorCorrection id="warm">{sop}</ColorCorrection>', encoding="utf-8")
    (scene.parent.parent / "outside.cc").write_bytes(look.read_bytes())
    offered = window.get("api/config/files")
    assert [(one["name"], one["kind"]) for one in offered["looks"]] == [("warm.cc", "CDL")]
    said = {"file": offered["looks"][0]["id"], "works_in": "lin_rec709_scene"}
    words = window.refused("api/config/write", 400, look=said)
    assert "clamp" in words
    assert "no such look" in window.refused(
        "api/config/write", 400, look={**said, "file": "../outside.cc", "clamp": False}
    )
    told = window.post("api/config/write", look={**said, "clamp": False})
    assert told["look"] == "warm.cc"
    # OpenColorIO itself: red, and only red, is twice as much before the view
    config = ocio.Config.CreateFromFile(told["config"])
    (name,) = (one for one in config.getLookNames() if "warm" in one)
    space = config.getLook(name).getProcessSpace()
    processor = config.getProcessor(ocio.LookTransform(src=space, dst=space, looks=name))
    processor = processor.getDefaultCPUProcessor()
    assert np.allclose(processor.applyRGB([0.1, 0.2, 0.3]), [0.2, 0.2, 0.3], atol=1e-6)
    second = window.post("api/config/write", another=True)
    assert Path(second["config"]).name == "primecoat_2.ocio"
    assert window.get("api/config/files")["written"] == ["primecoat.ocio", "primecoat_2.ocio"]
    assert window.get("api/config/check", which="primecoat_2.ocio")["sound"]
    assert window.ask("api/config/check", which="../x.ocio").status_code == 400


def test_a_config_is_written_beside_the_scene_and_is_sound(window: Window, scene: Path):
    assert window.ask("api/config/check", which="written").status_code == 400
    told = window.post("api/config/write")
    assert Path(told["config"]) == scene.parent / "primecoat.ocio"
    (scene.parent / "primecoat.ocio").write_text("ocio_profile_version: 2\n# mine\n")
    window.refused("api/config/write", 409)
    assert "# mine" in (scene.parent / "primecoat.ocio").read_text()


def test_renders_are_compared_as_the_verb_does(kept_scene: Path, tmp_path: Path):
    assert Window(build_desk(Asked(target=kept_scene), workflow.survey(kept_scene))).get(
        "api/renders"
    ) == {"old": None, "new": None}
    grey = np.full((8, 8, 3), 0.18, np.float32)
    for name, stops in (("old", 0), ("new", 1)):
        write_pixels(tmp_path / f"{name}.exr", grey * 2**stops)
    renders = Renders(
        old=str(tmp_path / "old.exr"),
        new=str(tmp_path / "new.exr"),
        in_old="lin_ap1_scene",
        in_new="lin_ap1_scene",
    )
    asked = Asked(target=kept_scene, renders=renders)
    window = Window(build_desk(asked, workflow.survey(kept_scene)))

    def exposure() -> float:
        key = window.get("api/renders")["key"]
        return float(window.get("api/renders/comparison", key=key)["exposure_stops"])

    assert exposure() == pytest.approx(1, abs=1e-5)
    write_pixels(tmp_path / "new.exr", grey * 4)
    assert exposure() == pytest.approx(2, abs=1e-5)
