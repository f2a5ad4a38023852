"""What a config makes of whole scenes: the demo, and small ones with one trouble each."""

from __future__ import annotations

import base64
import copy
import json
import math
import shutil
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.config.builtins import BUILTINS, OLDEST, builtin
from tests.reading.worlds import sheet

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.config.build import build_config
from primecoat.config.config_reading import read_config
from primecoat.config.config_rows import ConfigReading, ConfigRow
from primecoat.config.misread_data import DataCost
from primecoat.config.misread_files import misread
from primecoat.config.misreading import ColourCost, colour_cost
from primecoat.config.plan_content import plan_content
from primecoat.errors import UseError
from primecoat.images.oiio import read_pixels, write_pixels

ACES_2 = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"
GREY = np.full((16, 16, 3), 118, dtype=np.uint8)
COLOURS = np.random.default_rng(3).integers(40, 220, (16, 16, 3), dtype=np.uint8)


@pytest.fixture(scope="module")
def tea(tmp_path_factory: pytest.TempPathFactory, written_faulted: Path) -> Path:
    folder = tmp_path_factory.mktemp("pottery")
    shutil.copytree(written_faulted, folder, dirs_exist_ok=True)
    return folder


@pytest.fixture(scope="module")
def tea_survey(tea: Path) -> Survey:
    return workflow.survey(tea)


def rows_of(reading: ConfigReading) -> dict[str, ConfigRow]:
    return {row.file: row for row in reading.rows}


def save(config: ocio.Config, path: Path) -> str:
    path.write_text(config.serialize(), encoding="utf-8")
    return str(path)


def searching(path: Path) -> str:
    """A config that hunts for names in the path, and else says sRGB texture."""
    config = copy.deepcopy(builtin(ACES_2))
    rules = ocio.FileRules()
    rules.insertPathSearchRule(0)
    rules.setDefaultRuleColorSpace("sRGB - Texture")
    config.setFileRules(rules)
    return save(config, path)


@pytest.mark.parametrize("name", BUILTINS)
def test_demo_under_the_built_in_configs(tea, tea_survey, name):
    """ACES 2: all but EXR and movies "sRGB - Display". ACES 1.3: all ACES2065-1."""
    truth = json.loads((tea / "truth.json").read_text(encoding="utf-8"))
    answers = {image["path"]: image["reading"] for image in truth["images"]}
    reading = read_config(tea_survey, name)
    assert not reading.ready
    assert len(reading.rows) == sum(len(i.record.files) for i in tea_survey.readings.images) == 45
    seen = set()
    for row in reading.rows:
        aces_2 = "aces-v2" in name
        exr = row.file.endswith(".exr")
        space = "sRGB - Display" if aces_2 and not exr else "ACES2065-1"
        means = "srgb_rec709_display" if aces_2 and not exr else "lin_ap0_scene"
        rule = "EXR" if aces_2 and exr else "Default"
        path = row.by_path
        assert (path.reading.space, path.reads_as) == (space, means)
        assert (path.reading.rule_name, path.reading.only_default) == (rule, rule == "Default")
        assert row.elsewise == ()  # these rules look at no folder
        answer = answers[row.image]
        seen.add(answer)
        if answer == "unknown":
            assert (row.verdict, row.cost) == ("cannot say", None)
        elif answer == means:
            assert (row.verdict, row.kind, row.cost) == ("agrees", "", None)
        elif answer == "data":
            assert (row.verdict, row.kind) == ("misread", "data as colour")
            assert isinstance(row.cost, DataCost)
            # IEC 61966-2-1: code 128 decodes to 0.2159; linear primaries keep greys
            arrives = pytest.approx(0.2159 if aces_2 else 0.50196, abs=1e-4)
            assert row.cost.code_128 == arrives
            assert (row.cost.flat_turned is not None) == row.image.endswith("_normal.png")
        else:
            assert row.verdict == "misread"
            assert isinstance(row.cost, ColourCost)
            assert row.cost.stops is not None
            if answer == "srgb_rec709_scene" and aces_2:
                assert row.kind == "display for scene"
                assert row.cost.nothing_changes
            elif answer.startswith("srgb_rec709"):
                assert row.kind == "another colour"
                # IEC 61966-2-1 encodes 0.18 as 0.46136: log2(0.46136 / 0.18) = 1.3579
                assert row.cost.stops == pytest.approx(1.3579, abs=1e-3)
                assert row.cost.p95 is not None
                assert row.cost.p95 > 0.5
            elif row.file.endswith(".hdr") and aces_2:
                # ... and decodes 0.18 as 0.02721
                assert row.cost.stops == pytest.approx(math.log2(0.02721 / 0.18), abs=1e-3)
            else:
                assert row.kind == "another colour"
                assert row.cost.stops == pytest.approx(0.0, abs=1e-5)
    assert seen == {
        "data",
        "lin_rec709_scene",
        "srgb_rec709_display",
        "srgb_rec709_scene",
        "unknown",
    }
    verdicts = [row.verdict for row in reading.rows]
    assert verdicts[:20] == ["misread"] * 20
    assert {row.kind for row in reading.rows[:20]} == {"data as colour"}  # gravest first


def test_every_tile_has_a_row(tea_survey):
    tiles = [r for r in read_config(tea_survey, ACES_2).rows if "<UDIM>" in r.image]
    assert [tile.file for tile in tiles] == [
        "textures/oak_tray_color.1001.png",
        "textures/oak_tray_color.1002.png",
    ]
    one, other = (tile.cost for tile in tiles)
    assert isinstance(one, ColourCost)
    assert isinstance(other, ColourCost)
    assert one.mean != other.mean  # each by its own pixels


def test_two_uses_that_want_two_readings(tea_survey):
    row = rows_of(read_config(tea_survey, ACES_2))["textures/sugar_jar_color.png"]
    assert row.conflict
    assert {want.reading for want in row.wants} == {"srgb_rec709_scene", "data"}
    assert row.verdict == "cannot say"
    assert "no file rule can serve both" in row.words[0]


def test_missing_files_are_silent(tea_survey):
    assert read_config(tea_survey, ACES_2).silent == (
        ("textures/coaster_color.png", "there is no file"),
    )


def test_sampled_pixels_stand_for_the_picture(tea, tea_survey):
    """96 pixels against a sixth of all; figures of docs/how-to/see-what-a-config-reads.md."""
    reading = read_config(tea_survey, OLDEST)
    assert reading.window is not None
    off = []
    for row in reading.having("misread"):
        if isinstance(row.cost, ColourCost):
            pixels = read_pixels(tea / row.file)[::2, ::3, :3].reshape(-1, 3)
            scale = np.iinfo(pixels.dtype).max if pixels.dtype.kind == "u" else 1
            whole = colour_cost(reading.window, row.wanted, "ACES2065-1", pixels / scale)
            assert row.cost.mean is not None
            assert whole.mean is not None
            off.append(abs(row.cost.mean - whole.mean))
    assert len(off) == 23
    assert max(off) < 2.0
    assert np.median(off) < 0.5


def test_picture_inside_a_scene_file_has_no_name(tmp_path):
    write_pixels(tmp_path / "cup.png", GREY)
    data = base64.b64encode((tmp_path / "cup.png").read_bytes()).decode()
    (tmp_path / "cup.png").unlink()
    document = {
        "asset": {"version": "2.0"},
        "images": [{"uri": f"data:image/png;base64,{data}"}],
        "textures": [{"source": 0}],
        "materials": [{"name": "cup", "pbrMetallicRoughness": {"baseColorTexture": {"index": 0}}}],
    }
    (tmp_path / "cup.gltf").write_text(json.dumps(document), encoding="utf-8")
    reading = read_config(workflow.survey(tmp_path / "cup.gltf"), ACES_2)
    assert reading.rows == ()
    ((image, why),) = reading.silent
    assert image == "cup.gltf#images/0"
    assert "no file rule can speak" in why
    assert reading.ready


@pytest.fixture
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder under a folder called raw, so that whole paths differ from the scene's own."""
    return tmp_path_factory.mktemp("pottery") / "raw"


def test_a_folder_above_the_scene_misleads_the_whole_path_only(shop, tmp_path):
    shop.mkdir()
    write_pixels(shop / "bowl_color.png", COLOURS)
    write_pixels(shop / "strawberry_color.png", COLOURS)
    scene = sheet(
        shop,
        "bowl_color.png,glaze,base_color,rgb,srgb_texture,",
        "strawberry_color.png,jam,base_color,rgb,srgb_texture,",
    )
    config = searching(tmp_path / "search.ocio")
    rows = rows_of(read_config(workflow.survey(scene), config))
    bowl, jam = rows["bowl_color.png"], rows["strawberry_color.png"]

    assert (bowl.by_path.reads_as, bowl.by_path.verdict) == ("data", "misread")
    assert (bowl.by_path.reading.word, bowl.by_path.reading.in_folder) == ("raw", True)
    (by_scene,) = bowl.elsewise
    assert by_scene.reading.path == "bowl_color.png"
    assert (by_scene.reads_as, by_scene.verdict) == ("srgb_rec709_scene", "agrees")
    assert (bowl.verdict, bowl.kind) == ("misread", "colour as data")

    assert jam.by_path.reading.word == "raw"
    assert not jam.by_path.reading.in_folder  # the file's own name misleads already
    assert jam.elsewise == ()

    found = {row.where: row for row in misread(workflow.survey(scene), config)}
    assert "found 'raw' in the name of a folder" in found["bowl_color.png"].why
    assert found["bowl_color.png"].remedy.startswith("Rename the folder")
    assert found["strawberry_color.png"].remedy.startswith("Rename the file")


def test_a_folder_in_the_scene_s_own_text_misleads_both(tmp_path_factory, tmp_path):
    folder = tmp_path_factory.mktemp("pottery")
    (folder / "surfaces").mkdir()
    write_pixels(folder / "surfaces" / "bowl_color.png", COLOURS)
    survey = workflow.survey(
        sheet(folder, "surfaces/bowl_color.png,glaze,base_color,rgb,srgb_texture,")
    )
    (row,) = read_config(survey, searching(tmp_path / "search.ocio")).rows
    assert (row.by_path.reading.word, row.by_path.reads_as) == ("aces", "lin_ap0_scene")
    assert row.elsewise == ()
    assert row.verdict == "misread"


def test_a_rule_that_knows_the_tile_but_not_the_placeholder(tmp_path_factory, tmp_path):
    folder = tmp_path_factory.mktemp("pottery")
    for tile in (1001, 1002):
        write_pixels(folder / f"tray_color.{tile}.png", COLOURS)
    survey = workflow.survey(
        sheet(folder, "tray_color.<UDIM>.png,oak,base_color,rgb,srgb_texture,")
    )
    config = copy.deepcopy(builtin(OLDEST))
    rules = ocio.FileRules()
    rules.insertRule(0, "tiles", "sRGB - Texture", r".*_color\.[0-9]+\.png")
    rules.setDefaultRuleColorSpace("Raw")
    config.setFileRules(rules)
    reading = read_config(survey, save(config, tmp_path / "tiles.ocio"))
    assert len(reading.rows) == 2
    for row in reading.rows:
        assert row.by_path.verdict == "agrees"
        (other,) = row.elsewise
        assert (other.reading.path, other.reads_as) == ("tray_color.<UDIM>.png", "data")
        assert row.verdict == "misread"
        assert row.misread_by is other
    assert "handed over as tray_color.<UDIM>.png" in misread(survey, reading.config)[0].why


def test_other_channels_may_want_another_reading_but_a_rule_gives_one(tmp_path_factory):
    """For the scene that is no conflict; a file rule decodes red, green and blue alike."""
    folder = tmp_path_factory.mktemp("pottery")
    write_pixels(folder / "jar.png", COLOURS)
    survey = workflow.survey(
        sheet(
            folder,
            "jar.png,glaze,other_color,r,srgb_texture,",
            "jar.png,glaze,roughness,g,data,",
        )
    )
    assert survey.readings.images[0].reading == "srgb_rec709_scene"
    (row,) = read_config(survey, ACES_2).rows
    assert row.conflict
    assert row.verdict == "misread"
    (found,) = misread(survey, ACES_2)
    assert "must be read as srgb_rec709_scene and as data" in found.why
    assert found.remedy == "Give each of its uses a file of its own."


def test_alpha_is_touched_by_no_space(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pottery")
    cover = np.concatenate([COLOURS, GREY[..., :1]], axis=2)
    write_pixels(folder / "leaf.png", cover)
    survey = workflow.survey(sheet(folder, "leaf.png,leaf,opacity,a,data,"))
    (row,) = read_config(survey, ACES_2).rows
    assert row.verdict == "agrees"
    assert row.words == ("Only its alpha channel is used, which no colour space touches.",)


def test_a_space_is_judged_by_what_it_does(tmp_path_factory, tmp_path):
    """A space that calls itself sRGB and is linear."""
    folder = tmp_path_factory.mktemp("pottery")
    write_pixels(folder / "bowl_color.png", COLOURS)
    survey = workflow.survey(sheet(folder, "bowl_color.png,glaze,base_color,rgb,srgb_texture,"))
    config = copy.deepcopy(builtin(OLDEST))
    space = copy.deepcopy(config.getColorSpace("Linear Rec.709 (sRGB)"))
    config.removeColorSpace("sRGB - Texture")
    config.removeColorSpace("Linear Rec.709 (sRGB)")
    space.clearAliases()
    space.setName("sRGB - Texture")
    space.addAlias("srgb_tx")
    config.addColorSpace(space)
    rules = ocio.FileRules()
    rules.setDefaultRuleColorSpace("sRGB - Texture")
    config.setFileRules(rules)
    (row,) = read_config(survey, save(config, tmp_path / "lies.ocio")).rows
    assert row.by_path.identity.contradicts
    assert row.by_path.reads_as == "lin_rec709_scene"
    assert row.verdict == "misread"


def test_what_cannot_be_compared_is_not_judged(tmp_path_factory, tmp_path):
    folder = tmp_path_factory.mktemp("pottery")
    write_pixels(folder / "bowl_color.png", COLOURS)
    survey = workflow.survey(sheet(folder, "bowl_color.png,glaze,base_color,rgb,srgb_texture,"))
    config = copy.deepcopy(builtin(OLDEST))
    lost = ocio.ColorSpace(name="old scanner")
    lost.setTransform(ocio.FileTransform(src="gone.spi1d"), ocio.COLORSPACE_DIR_TO_REFERENCE)
    config.addColorSpace(lost)
    rules = ocio.FileRules()
    rules.setDefaultRuleColorSpace("old scanner")
    config.setFileRules(rules)
    (row,) = read_config(survey, save(config, tmp_path / "scanner.ocio")).rows
    assert row.verdict == "cannot say"
    assert "gone.spi1d" in row.words[0]


def test_a_damaged_picture_is_read_by_its_name_all_the_same(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pottery")
    write_pixels(folder / "clay_color.png", COLOURS)
    whole = (folder / "clay_color.png").read_bytes()
    (folder / "clay_color.png").write_bytes(whole[: len(whole) // 2])
    survey = workflow.survey(sheet(folder, "clay_color.png,clay,base_color,rgb,srgb_texture,"))
    (row,) = read_config(survey, OLDEST).rows
    assert row.verdict == "misread"
    assert isinstance(row.cost, ColourCost)
    assert row.cost.stops == pytest.approx(1.3579, abs=1e-3)
    assert (row.cost.mean, row.cost.sampled) == (None, 0)


def test_our_own_config_leaves_untagged_files_open_and_reads_tagged_ones_right(
    tmp_path_factory, tmp_path, written_clean
):
    folder = tmp_path_factory.mktemp("pottery")
    shutil.copytree(written_clean, folder, dirs_exist_ok=True)
    config = save(build_config(plan_content()), tmp_path / "tea.ocio")
    survey = workflow.survey(folder, verify=True)
    before = read_config(survey, config)
    assert {row.verdict for row in before.rows} == {"left open"}
    assert len(before.rows) == sum(len(i.record.files) for i in survey.readings.images) > 40
    assert before.ready  # nothing is misread where nothing is claimed

    workflow.apply(workflow.plan(survey, "tag", with_likely=True))
    counts = {}
    for scene in ("gltf", "usda", "mtlx", "csv"):
        after = read_config(workflow.survey(folder / f"tea.primed.{scene}"), config)
        counts[scene] = len(after.rows)
        found = {(row.verdict, row.elsewise, row.conflict, row.words) for row in after.rows}
        assert found == {("agrees", (), False, ())}
    assert counts == {"gltf": 32, "usda": 33, "mtlx": 40, "csv": 15}


def test_a_view_may_be_named(tea_survey):
    reading = read_config(tea_survey, ACES_2, display="sRGB - Display", view="Un-tone-mapped")
    row = rows_of(reading)["textures/courtyard_environment.hdr"]
    assert isinstance(row.cost, ColourCost)
    assert row.cost.right == pytest.approx([117.6] * 3, abs=0.05)  # IEC 61966-2-1 of 0.18
    with pytest.raises(UseError, match="no view 'Sunset'"):
        read_config(tea_survey, ACES_2, view="Sunset")


def test_gate_rows(tea_survey):
    found = misread(tea_survey, ACES_2)
    assert len(found) == len(read_config(tea_survey, ACES_2).having("misread"))
    normal = next(row for row in found if row.where == "textures/teapot_normal.png")
    assert normal.why == (
        f"It must be read as data; the config {ACES_2} reads it as sRGB - Display "
        "(srgb_rec709_display): no rule but the default one knows it."
    )
    assert "primecoat config write" in normal.remedy
