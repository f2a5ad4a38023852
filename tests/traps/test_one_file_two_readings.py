"""One file wanted two ways, and two files that look like one: nothing is merged or overruled."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image
from tests.plan import small as s
from tests.reading.worlds import P3_CICP, sheet
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.cli.main import run
from primecoat.errors import RefusedError
from primecoat.reading.judgement import ImageReading

SRGB, P3, DATA = "srgb_rec709_scene", "srgb_p3d65_scene", "data"
P3_CHUNK = b.chunk(b"cICP", P3_CICP)
ROUTES = ("tag", "declare", "bake")


def only_image(found: Survey) -> ImageReading:
    """Return the one image of a survey."""
    (image,) = found.readings.images
    return image


def images(target: Path, *, verify: bool = False) -> dict[str, ImageReading]:
    """Survey a target and return its images by path."""
    found = workflow.survey(target, workers=1, verify=verify)
    return {image.record.path: image for image in found.readings.images}


def errors(found: Survey) -> list[str]:
    """Return the codes of the findings that are errors."""
    return [f.code for f in found.findings if f.severity == "error"]


def glaze(folder: Path, order: int) -> Path:
    """Write a glTF that plugs one PNG, under two spellings, into base colour and occlusion."""
    (folder / "glaze.png").write_bytes(b.png())
    uses = [("glaze.png", "base_color"), ("./glaze.png", "occlusion")]
    return s.gltf(folder / "jar.gltf", *uses[::order])


def listed(folder: Path, order: int) -> Path:
    """Write a sheet that does the same, with the colour declared."""
    (folder / "glaze.png").write_bytes(b.png())
    rows = [f"glaze.png,jar,base_color,rgb,{SRGB},", "./glaze.png,jar,occlusion,r,data,"]
    return sheet(folder, *rows[::order])


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize("write", [glaze, listed])
class TestColourAndOcclusion:
    """The same PNG as base colour and as occlusion, whichever is plugged in last."""

    def test_each_slot_has_its_own_verdict(self, write, order: int, tmp_path: Path) -> None:
        """No slot wins over the other; glTF 2.0, 3.9.2 and 3.9.3, fixes sRGB and linear."""
        found = workflow.survey(write(tmp_path, order), workers=1)
        image = only_image(found)
        verdicts = {use.scene_use.use.slot: use.judgement.reading for use in image.uses}
        assert verdicts == {"base_color": SRGB, "occlusion": DATA}
        assert (image.standing, image.reading) == ("conflicting", "unknown")
        (conflict,) = [f for f in found.findings if f.code == "PC103"]
        assert (conflict.where, conflict.severity) == ("glaze.png", "error")
        assert SRGB in conflict.message
        assert "data in occlusion" in conflict.message

    @pytest.mark.parametrize("in_place", [False, True])
    @pytest.mark.parametrize("route", ROUTES)
    def test_no_plan_touches_it(
        self, write, order: int, route: str, in_place: bool, tmp_path: Path
    ) -> None:
        """It is held on every route; nothing is baked, renamed or tagged, in place or beside."""
        made = s.plan(write(tmp_path, order), route, in_place=in_place)
        assert "glaze.png" in s.held(made)
        assert not [told for told in s.told(made.operations) if "glaze" in told[1] + told[2]]
        before = s.content(tmp_path)
        if made.operations:
            workflow.apply(made)
        after = s.content(tmp_path)
        assert {name for name in after if name.endswith(".png")} == {"glaze.png"}
        assert after["glaze.png"] == before["glaze.png"]

    def test_the_gate_stays_shut(self, write, order: int, tmp_path: Path) -> None:
        """A scene with such a picture does not pass."""
        found = workflow.survey(write(tmp_path, order), verify=True, workers=1)
        assert not workflow.gate(found).open

    @pytest.mark.parametrize("reading", [SRGB, DATA])
    def test_a_decision_does_not_hide_it(
        self, write, order: int, reading: str, tmp_path: Path, capsys
    ) -> None:
        """The finding stays, gate and plan name its remedy, and a file each settles it."""
        scene = write(tmp_path, order)
        assert run(["decide", str(scene), "glaze.png", reading]) == 0
        assert "This it does not settle: " in capsys.readouterr().out
        found = workflow.survey(scene, verify=True, workers=1)
        assert only_image(found).standing == "overruled"
        (conflict,) = [f for f in found.findings if f.code == "PC103"]
        assert f"The decision for {reading} holds for one of them only" in conflict.message
        made = workflow.plan(found)
        for held in (*workflow.gate(found).left, *made.held):
            assert held.where == "glaze.png"
            assert "wanted two ways: data in occlusion" in held.why
            assert held.remedy == conflict.remedy
        assert made.operations == ()
        shutil.copy(tmp_path / "glaze.png", tmp_path / "glaze_occlusion.png")
        text = scene.read_text()
        scene.write_text(text.replace("./glaze.png", "glaze_occlusion.png"))
        if reading == SRGB:
            assert "PC103" not in errors(workflow.survey(scene, workers=1))


def test_a_word_settles_which_colour_space_it_is(tmp_path: Path) -> None:
    """Two rows declare two colour spaces and contradict each other; a picture is in one of them."""
    (tmp_path / "cup.png").write_bytes(b.png())
    scene = sheet(tmp_path, f"cup.png,a,base_color,rgb,{SRGB},", f"cup.png,b,emissive,rgb,{P3},")
    assert "PC103" in errors(workflow.survey(scene, workers=1))
    workflow.decide(workflow.survey(scene, workers=1), "cup.png", P3)
    assert "PC103" not in errors(workflow.survey(scene, workers=1))
    made = s.plan(scene, "declare")
    assert s.held(made) == []
    workflow.apply(made)
    new = workflow.survey(scene.with_name("s.primed.csv"), workers=1, verify=True)
    assert errors(new) == []
    assert workflow.gate(new).open


def test_copies_with_different_tags_keep_their_readings(tmp_path: Path) -> None:
    """Two files of equal bytes are two records; each name is believed for its own file only."""
    names = {f"bowl_{SRGB}.png": SRGB, "bowl_data.png": DATA, "bowl_lin_ap1_scene.png": s.AP1}
    for name in names:
        (tmp_path / name).write_bytes(b.png())
    found = images(tmp_path)
    assert {path: image.reading for path, image in found.items()} == names
    assert len({image.record.measures[0].sha256 for image in found.values()}) == 1


def test_copies_found_in_the_cache_keep_their_readings(tmp_path: Path) -> None:
    """The cache knows a copy by its hash without measuring it, and passes no reading on."""
    first, second = f"bowl_{SRGB}.png", "bowl_data.png"
    (tmp_path / first).write_bytes(b.png())
    measured: list[int] = []
    workflow.survey(tmp_path, workers=1, progress=lambda done, *_: measured.append(done))
    assert measured == [1]
    assert (tmp_path / ".primecoat" / "measures.jsonl").is_file()
    (tmp_path / second).write_bytes(b.png())
    again = workflow.survey(tmp_path, workers=1, progress=lambda done, *_: measured.append(done))
    assert measured == [1]
    readings = {image.record.path: image.reading for image in again.readings.images}
    assert readings == {first: SRGB, second: DATA}
    assert images(tmp_path).keys() == {first, second}


@pytest.mark.parametrize("verify", [False, True])
def test_equal_pixels_with_different_headers_are_two(verify: bool, tmp_path: Path) -> None:
    """Equal codes, one tagged Display P3 by its cICP: two hashes, two readings, cached or not."""
    plain, tagged = tmp_path / "cup.png", tmp_path / "pot.png"
    plain.write_bytes(b.png())
    tagged.write_bytes(b.png(3, "uint8", P3_CHUNK))
    with Image.open(plain) as one, Image.open(tagged) as other:
        assert one.tobytes() == other.tobytes()
    target = sheet(tmp_path, "cup.png,x,base_color,,,", "pot.png,x,base_color,,,")
    for _ in range(2):
        found = images(target, verify=verify)
        assert found["cup.png"].reading == SRGB
        assert found["pot.png"].reading == P3
        hashes = {image.record.measures[0].sha256 for image in found.values()}
        assert len(hashes) == 2


PACKED = {
    "name": "jar",
    "occlusionTexture": {"index": 0},
    "pbrMetallicRoughness": {"metallicRoughnessTexture": {"index": 0}},
}


@pytest.mark.parametrize("format_", ["gltf", "sheet"])
def test_packed_map_called_color_is_data(format_: str, tmp_path: Path) -> None:
    """Occlusion, roughness and metalness in one picture are numbers, whatever it is called."""
    (tmp_path / "jar_color.png").write_bytes(b.png())
    if format_ == "gltf":
        document = b.gltf([{"uri": "jar_color.png"}], [PACKED])
        target = b.write_gltf(tmp_path / "jar.gltf", document)
    else:
        slots = {"occlusion": "r", "roughness": "g", "metalness": "b"}
        rows = [f"jar_color.png,jar,{slot},{channel},," for slot, channel in slots.items()]
        target = sheet(tmp_path, *rows)
    found = workflow.survey(target, verify=True, workers=1)
    image = only_image(found)
    assert {use.judgement.reading for use in image.uses} == {DATA}
    assert (image.reading, image.content, errors(found)) == (DATA, "packed", [])
    assert "jar_color_data.png" in s.targets(workflow.plan(found, "tag"))
    assert "jar_color.png" not in s.held(workflow.plan(found, "bake"))


@pytest.mark.parametrize("format_", ["gltf", "sheet"])
def test_colour_with_cut_out_alpha_is_no_conflict(format_: str, tmp_path: Path) -> None:
    """RGB as colour and A as cut-out share no channel (glTF 2.0, 3.9.4: alpha is linear)."""
    (tmp_path / "leaf.png").write_bytes(b.png(4))
    if format_ == "gltf":
        material = {"name": "leaf", "alphaMode": "MASK"} | b.BASE_COLOUR
        target = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "leaf.png"}], [material]))
    else:
        rows = (f"leaf.png,x,base_color,rgb,{SRGB},", "leaf.png,x,opacity,a,,")
        target = sheet(tmp_path, *rows)
    found = workflow.survey(target, verify=True, workers=1)
    image = only_image(found)
    alpha = [use for use in image.uses if use.scene_use.use.channels == "a"]
    assert [use.judgement.reading for use in alpha] == [DATA]
    assert (image.reading, image.content, errors(found)) == (SRGB, "base_color", [])
    assert workflow.plan(found, "tag").held == ()


def write_pages(path: Path, levels: list[NDArray[np.uint8]]) -> None:
    """Write tiled levels; all but the first say reduced resolution (TIFF 6.0, NewSubfileType 1)."""
    with tifffile.TiffWriter(path) as out:
        for number, level in enumerate(levels):
            out.write(
                level,
                tile=(16, 16),
                photometric="rgb",
                subfiletype=int(number > 0),
                software="",
                metadata=None,
            )


def write_mipmaps(path: Path, levels: list[NDArray[np.uint8]]) -> None:
    """Write the levels as mipmaps of one tiled part, by the image library."""
    out = oiio.ImageOutput.create(str(path))
    assert out is not None
    append = "AppendMIPLevel" if out.supports("mipmap") else "AppendSubimage"
    for number, level in enumerate(levels):
        height, width, channels = level.shape
        spec = oiio.ImageSpec(width, height, channels, "half" if path.suffix == ".exr" else "uint8")
        spec.tile_width = spec.tile_height = 16
        spec.attribute("textureformat", "Plain Texture")  # else the writer makes no levels
        assert out.open(str(path), spec, append if number else "Create"), out.geterror()
        assert out.write_image((level / 255).astype(np.float32)), out.geterror()
    assert out.close()


def mipmaps(odd: bool) -> list[NDArray[np.uint8]]:
    """Return 32 x 32 pixels and all their halvings; ``odd`` ones hold another smaller picture."""
    levels = [b.colour_pixels(size=32)]
    while levels[-1].shape[0] > 1:
        smaller = levels[-1][::2, ::2]
        levels.append(255 - smaller if odd and len(levels) == 1 else smaller)
    return levels


WRITERS = {".tif": write_pages, ".tx": write_mipmaps, ".exr": write_mipmaps}


@pytest.mark.parametrize("suffix", WRITERS)
class TestEqualFirstLevel:
    """Pictures whose full size is equal and whose mipmaps are not."""

    def test_they_are_two_files(self, suffix: str, tmp_path: Path) -> None:
        """Equal statistics, two hashes, two records: the hash is of all bytes of the file.

        The image library's own hash of the pixels would merge them: it looks at the first level.
        """
        names = [f"cup{suffix}", f"pot{suffix}"]
        for odd, name in enumerate(names):
            WRITERS[suffix](tmp_path / name, mipmaps(bool(odd)))
        by_library = [oiio.ImageBuf(str(tmp_path / name)) for name in names]
        assert len(set(map(oiio.ImageBufAlgo.computePixelHashSHA1, by_library))) == 1
        for _ in range(2):
            found = images(tmp_path)
            one, two = (found[name].record.measures[0] for name in names)
            assert one.sha256 != two.sha256
            assert one.statistics is not None
            assert one.statistics == two.statistics

    def test_a_change_of_the_mipmaps_is_a_change(self, suffix: str, tmp_path: Path) -> None:
        """A plan made before only the smaller levels changed is refused; the survey sees it too."""
        path = tmp_path / f"cup{suffix}"
        WRITERS[suffix](path, mipmaps(odd=False))
        made = s.plan(sheet(tmp_path, f"{path.name},x,roughness,r,data,"), "tag")
        assert made.operations
        before = images(tmp_path)[path.name].record.measures[0]
        WRITERS[suffix](path, mipmaps(odd=True))
        with pytest.raises(RefusedError, match="changed"):
            workflow.apply(made)
        after = images(tmp_path, verify=True)[path.name].record.measures[0]
        assert before.sha256 != after.sha256
        assert before.statistics == after.statistics
