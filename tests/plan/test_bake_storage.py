"""How bakes are asked to be stored, what is refused, and that none is made twice."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from tests.plan import small as s

from primecoat import workflow
from primecoat.cli.main import run as command
from primecoat.documents import dumps
from primecoat.errors import InputError, RefusedError
from primecoat.images.oiio import write_pixels
from primecoat.images.read_header import read_header
from primecoat.plan.baked import BakeRecord, layer_words, recipe_words
from primecoat.plan.operations import BakeImage, LayerReading, as_document, from_document
from primecoat.plan.plan import Plan, plan_from
from primecoat.plan.recipe import Storage

AP1 = s.AP1
LIN, LIN_P3 = "lin_rec709_scene", "lin_p3d65_scene"


def bowl(folder: Path, name: str = "bowl.png") -> Path:
    if not (folder / name).exists():
        s.pictures(folder, name)
    return s.sheet(folder / "tea.csv", f"{name},a,base_color,rgb,{s.SRGB},")


def baking(target: Path, storage: Storage = Storage()) -> Plan:  # noqa: B008 frozen
    found = workflow.survey(target, verify=True, workers=1)
    return workflow.plan(found, "bake", storage=storage, with_likely=True)


def test_a_format_that_cannot_say_the_space_is_refused_in_the_plan(tmp_path: Path) -> None:
    """X, Y and Z are no red, green and blue that a profile or code points could name."""
    found = workflow.survey(bowl(tmp_path), to_space="lin_ciexyzd65_scene", verify=True, workers=1)
    with pytest.raises(RefusedError, match="no true way"):
        workflow.plan(found, "bake", storage=Storage(ending=".tif", number="float"))


def test_a_bake_as_a_document_and_back() -> None:
    """Storage and layer readings come back; an older plan has the usual storage."""
    operation = BakeImage(
        source="a.exr",
        target="b.exr",
        source_sha256="00",
        reading=s.SRGB,
        to_space=AP1,
        config="c",
        storage=Storage(number="float").as_text(),
        layers=(LayerReading(part=1, layer="coat", reading=AP1),),
    )
    document = json.loads(dumps(as_document(operation)))
    assert from_document(document) == operation
    old = {k: v for k, v in document.items() if k not in ("storage", "layers")}
    assert from_document(old).storage == Storage().as_text()  # type: ignore[union-attr]
    for wrong in (
        {"storage": "ending=.gif"},
        {"storage": "ending=.png number=16-bit"},
        {"target": "b.png"},
        {"reading": "data"},
        {"to_space": "data"},
        {"reading": "nonsense"},
        {"levels_of": "normal"},
        {"storage": 7},
        {"layers": [{"part": "1", "layer": "", "reading": AP1}]},
        {"layers": [{"part": 1}]},
        {"layers": 3},
    ):
        with pytest.raises(InputError):
            from_document(document | wrong)


@pytest.mark.parametrize(
    ("options", "ending", "pixel_type"),
    [
        ([], ".exr", "half"),
        (["--number", "float", "--compression", "piz", "--tile", "32"], ".exr", "float"),
        (["--as", "png"], ".png", "uint16"),
        (["--as", "tif"], ".tif", "uint16"),
        (["--as", "png", "--number", "8-bit"], ".png", "uint8"),
    ],
)
def test_options_reach_the_file(
    tmp_path: Path,
    options: list[str],
    ending: str,
    pixel_type: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """From the command line to what OpenImageIO reads; the cost of 8 bits is told; no second."""
    scene, file = bowl(tmp_path), tmp_path / "plan.json"
    words = ["plan", str(scene), "--route", "bake", "--out", str(file), *options]
    if ending != ".exr":
        words += ["--to", "lin_rec709_scene" if ending == ".tif" else "srgb_p3d65_scene"]
    assert command(words) == 0
    assert command(["apply", str(file)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    (made,) = tmp_path.glob(f"bowl_*{ending}")
    assert read_header(made).pixel_type == pixel_type
    assert ("of its colours change on the way back, by up to" in said) == (pixel_type == "uint8")
    assert command(words) == 0
    assert "Nothing is to be done" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--as", "gif"], "No picture is baked to .gif"),
        (["--as", "png", "--number", "half"], "does not hold half"),
        (["--compression", "lossy"], "is not stored as lossy"),
        (["--tile", "17"], "Tiles of 17"),
        (["--mips", "maybe"], "There are no levels 'maybe'"),
        (["--beyond-half", "inf"], "Use float or clamp"),
        (["--workers", "2", "--cluster", "local"], "not both"),
    ],
)
def test_what_cannot_be_stored_is_refused_before_anything_else(
    tmp_path: Path, options: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line, exit 2, no plan."""
    scene, file = bowl(tmp_path), tmp_path / "plan.json"
    assert command(["plan", str(scene), "--route", "bake", "--out", str(file), *options]) == 2
    assert words in capsys.readouterr().err
    assert not file.exists()


def test_storage_options_go_with_bakes_only(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The other routes store no pictures."""
    scene = bowl(tmp_path)
    assert command(["plan", str(scene), "--out", str(tmp_path / "p.json"), "--as", "png"]) == 2
    assert "--route bake" in capsys.readouterr().err


def exr(path: Path, *parts: Mapping[str, str | tuple[str, ...]]) -> None:
    """Write an OpenEXR file by OpenEXR's own library: a part each, with channels and an ID."""
    made = []
    for number, part in enumerate(parts):
        channels = {
            name: np.full((4, 5), 0.25 * (1 + place), np.float16)
            for place, name in enumerate(part["channels"])
        }
        header = {"name": f"part{number}", "type": OpenEXR.scanlineimage}
        if "id" in part:
            header["colorInteropID"] = part["id"]
        made.append(OpenEXR.Part(header, channels))
    OpenEXR.File(made).write(str(path))


RGB = ("R", "G", "B")


def test_channels_beside_colour_are_carried(tmp_path: Path) -> None:
    """Depth and a normal in the same part no longer keep a picture from its bake."""
    names = (*RGB, "A", "Z", "N.X", "N.Y", "N.Z")
    exr(tmp_path / "bowl.exr", {"channels": names, "id": "lin_rec709_scene"})
    scene = s.sheet(tmp_path / "tea.csv", "bowl.exr,a,base_color,rgb,lin_rec709_scene,")
    made = baking(scene)
    assert made.held == ()
    workflow.apply(made)
    with (
        OpenEXR.File(str(tmp_path / "bowl.exr"), separate_channels=True) as old,
        OpenEXR.File(str(tmp_path / f"bowl_{AP1}.exr"), separate_channels=True) as new,
    ):
        for name in names[3:]:
            before, after = old.channels()[name].pixels, new.channels()[name].pixels
            assert before.dtype == after.dtype
            assert np.array_equal(before, after)
        assert not np.array_equal(old.channels()["R"].pixels, new.channels()["R"].pixels)


def test_layers_whose_readings_nobody_says_are_held(tmp_path: Path) -> None:
    """A second colour part without an ID holds the picture; with one it gets its own reading."""
    first: dict[str, str | tuple[str, ...]] = {"channels": RGB, "id": "lin_rec709_scene"}
    exr(tmp_path / "bowl.exr", first, {"channels": RGB})
    scene = s.sheet(tmp_path / "tea.csv", "bowl.exr,a,base_color,rgb,lin_rec709_scene,")
    made = baking(scene)
    assert (made.operations, s.held(made)) == ((), ["bowl.exr"])
    assert "part 2" in made.held[0].why
    exr(tmp_path / "bowl.exr", first, {"channels": RGB, "id": "lin_rec2020_scene"},
        {"channels": RGB, "id": "data"})  # fmt: skip
    made = baking(scene)
    assert made.held == ()
    operation = made.operations[0]
    assert isinstance(operation, BakeImage)
    assert [(layer.part, layer.reading) for layer in operation.layers] == [
        (1, "lin_rec2020_scene"),
        (2, "data"),
    ]
    workflow.apply(plan_from(json.loads(dumps(made.as_document({})))))
    with (
        OpenEXR.File(str(tmp_path / "bowl.exr")) as old,
        OpenEXR.File(str(tmp_path / f"bowl_{AP1}.exr")) as new,
    ):
        same = [
            np.array_equal(a.channels["RGB"].pixels, b.channels["RGB"].pixels)
            for a, b in zip(old.parts, new.parts, strict=True)
        ]
    assert same == [False, False, True]
    assert baking(scene).operations == ()
    exr(tmp_path / "bowl.exr", first, {"channels": RGB, "id": "lin_ap0_scene"},
        {"channels": RGB, "id": "data"})  # fmt: skip
    stale = baking(scene)
    assert (s.codes(stale), s.held(stale)) == (["PC407"], ["bowl.exr"])


def test_another_reading_of_a_further_layer_is_another_recipe() -> None:
    """The record tells layers apart, whatever their order and the versions of the libraries."""
    words = recipe_words(s.SRGB, AP1, "c", "ending=.exr")
    layers = [layer_words(1, "", "data"), layer_words(0, "coat", s.SRGB)]
    record = BakeRecord(source_sha256="00", recipe="; ".join((words, "versions", *layers)))
    assert record.is_of("00", words, reversed(layers))
    assert not record.is_of("01", words, layers)
    assert not record.is_of("00", words)
    assert not record.is_of("00", words, [layers[0], layer_words(0, "coat", AP1)])
    assert not record.is_of("00", words.replace("c;", "d;"), layers)
    assert not BakeRecord().is_of("", words)


def test_a_picture_without_colour_by_name_is_held(tmp_path: Path) -> None:
    """Channels that are no R, G, B or Y are not taken for colour."""
    exr(tmp_path / "bowl.exr", {"channels": ("glaze.one", "glaze.two", "glaze.three")})
    scene = s.sheet(tmp_path / "tea.csv", "bowl.exr,a,base_color,rgb,lin_rec709_scene,")
    made = baking(scene)
    assert (made.operations, s.held(made)) == ((), ["bowl.exr"])
    assert "hold no colour by their names" in made.held[0].why


def test_what_whole_numbers_cannot_hold_is_held(tmp_path: Path) -> None:
    """Light beyond 1, and channels beside colour, are not squeezed into 16 bits."""
    sky = np.full((4, 5, 3), 12.0, np.float32)
    write_pixels(tmp_path / "sky.exr", sky, statement="lin_rec709_scene")
    exr(tmp_path / "deep.exr", {"channels": (*RGB, "Z"), "id": "lin_rec709_scene"})
    scene = s.sheet(
        tmp_path / "tea.csv",
        "sky.exr,a,environment,rgb,lin_rec709_scene,",
        "deep.exr,b,base_color,rgb,lin_rec709_scene,",
    )
    made = baking(scene, Storage(ending=".tif", number="16-bit"))
    assert (made.operations, s.held(made)) == ((), ["deep.exr", "sky.exr"])
    assert all("--as exr" in held.remedy for held in made.held)
    assert len(baking(scene).operations) == 3


@pytest.mark.parametrize(("beyond", "words"), [("clamp", "65504"), ("float", "stored as float")])
def test_light_beyond_half_is_warned_of(tmp_path: Path, beyond: str, words: str) -> None:
    """PC306 in the plan if half is asked for; by itself the bake takes float."""
    write_pixels(
        tmp_path / "sun.exr", np.full((4, 5, 3), 145000.0, np.float32), statement="lin_rec709_scene"
    )
    scene = s.sheet(tmp_path / "tea.csv", "sun.exr,a,environment,rgb,lin_rec709_scene,")
    made = baking(scene, Storage(number="half", beyond_half=beyond))  # type: ignore[arg-type]
    (finding,) = made.findings
    assert (finding.code, finding.where) == ("PC306", "sun.exr")
    assert words in finding.message
    assert baking(scene).findings == ()
    done = workflow.apply(made)
    assert done[0].baked is not None
    counted = done[0].baked.figures
    assert counted["number"] == ("half" if beyond == "clamp" else "float")
    assert counted["beyond_half"] > 0


@pytest.mark.parametrize("ending", [".exr", ".png", ".tif"])
def test_an_asset_of_two_scenes_is_baked_once(tmp_path: Path, ending: str) -> None:
    """T8: one scene is primed, the other still names the original and takes the same bake."""
    to_space = AP1 if ending == ".exr" else "srgb_p3d65_scene"
    s.pictures(tmp_path, "store/bowl.png")
    scenes = []
    for name in ("shop", "cafe"):
        (tmp_path / name).mkdir()
        scenes.append(
            s.sheet(tmp_path / name / "tea.csv", f"../store/bowl.png,a,base_color,rgb,{s.SRGB},")
        )
    storage = Storage(ending=ending, number="16-bit" if ending != ".exr" else "auto")

    def plan(scene: Path, stored: Storage = storage) -> Plan:
        found = workflow.survey(scene, roots=[tmp_path], verify=True, workers=1, to_space=to_space)
        return workflow.plan(found, "bake", storage=stored)

    assert len(workflow.apply(plan(scenes[0]))) == 2
    second = plan(scenes[1])
    assert s.told(second.operations) == [("write_scene", "cafe/tea.csv", "cafe/tea.primed.csv")]
    workflow.apply(second)
    for scene in scenes:
        for target in (scene, scene.with_name("tea.primed.csv")):
            again = plan(target)
            assert (again.operations, again.held, again.findings) == ((), (), ())
    other = Storage(ending=ending, compression="none" if ending != ".png" else "", tile=0)
    if ending != ".png":
        other = Storage(ending=ending, number=storage.number, compression="none")
        stale = plan(scenes[0], other)
        assert s.codes(stale) == ["PC407"]
        assert "in another way" in stale.findings[0].message


FLAT = {name: np.full((8, 8), 0.5, np.float16) for name in "RGB"}


@pytest.mark.parametrize(
    ("more", "window", "storage", "words"),
    [
        ({}, (-2, -1, 5, 6), Storage(ending=".png", number="16-bit"), "data window"),
        ({}, (-2, -1, 5, 6), Storage(ending=".tif", number="half"), "data window"),
        ({"id": np.uint32}, (0, 0, 7, 7), Storage(levels="yes"), "have none"),
        ({"id": np.uint32}, (0, 0, 7, 7), Storage(ending=".tif", number="half"), "channels beside"),
        ({"mask": np.float16}, (0, 0, 7, 7), Storage(ending=".tif", number="float"), "beside"),
    ],
)
def test_what_a_format_cannot_hold_is_held_in_the_plan(
    tmp_path: Path,
    more: dict[str, type],
    window: tuple[int, int, int, int],
    storage: Storage,
    words: str,
):
    """Not found out in the bake, where one such picture would stop all others."""
    corners = np.array(window, np.int32).reshape(2, 2)
    header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    frame = np.array([0, 0], np.int32), np.array([7, 7], np.int32)
    windows = {"dataWindow": (corners[0], corners[1]), "displayWindow": frame}
    planes = FLAT | {name: np.ones((8, 8), kind) for name, kind in more.items()}
    OpenEXR.File(header | windows, planes).write(str(tmp_path / "bowl.exr"))
    scene = s.sheet(tmp_path / "tea.csv", f"bowl.exr,a,base_color,rgb,{LIN},")
    found = workflow.survey(scene, to_space=LIN_P3, verify=True, workers=1)
    plan = workflow.plan(found, "bake", storage=storage)
    assert plan.operations == ()
    assert words in plan.held[0].why
    assert not workflow.plan(found, "bake").held


def test_a_list_of_samples_is_held_in_the_plan(tmp_path: Path):
    samples = np.empty((2, 2), object)
    for at in np.ndindex(2, 2):
        samples[at] = np.ones(1 + sum(at), np.float32)
    header = {"compression": OpenEXR.ZIPS_COMPRESSION, "type": OpenEXR.deepscanline}
    OpenEXR.File(header, dict.fromkeys("RGBAZ", samples)).write(str(tmp_path / "bowl.exr"))
    scene = s.sheet(tmp_path / "tea.csv", f"bowl.exr,a,base_color,rgb,{LIN},")
    assert "samples" in baking(scene).held[0].why
