"""Readings of small real files: what each witness is worth where it stands."""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np
import pytest
import tifffile
from tests.images import profiles as icc
from tests.reading.worlds import P3_CICP, images_of, readings_of, sheet
from tests.scenes import builders as b

from primecoat.images.oiio import write_pixels

SRGB_CHUNK = b.chunk(b"sRGB", b"\0")


def p3_profile() -> bytes:
    """Return the iCCP chunk of a Display P3 profile whose description says sRGB."""
    profile = icc.rgb_profile("p3d65", icc.SRGB_CURVE)
    return b.chunk(b"iCCP", b"profile\0\0" + zlib.compress(profile))


def judged(image) -> tuple[str, str]:
    return image.reading, image.standing


# --- slots and files' own statements ---


@pytest.mark.parametrize("slot", ["normal", "roughness", "metalness", "height", "mask", "packed"])
@pytest.mark.parametrize("chunks", [(SRGB_CHUNK,), (b.chunk(b"cICP", P3_CICP),)])
def test_data_slot_outranks_file_tags(slot: str, chunks: tuple[bytes, ...], tmp_path: Path):
    """A picture in a data slot is data, whatever colour its file states."""
    (tmp_path / "a.png").write_bytes(b.png(3, "uint8", *chunks))
    image = images_of(sheet(tmp_path, f"a.png,x,{slot},,,"))["a.png"]
    assert judged(image) == ("data", "settled")
    (header,) = [e for e in image.evidence if e.witness == "header"]
    assert header.set_aside == "a data slot outranks it"
    assert header.as_document()["strength"] == 0.0


def test_data_slot_outranks_a_colour_name(tmp_path: Path):
    """``rock_roughness_srgb_texture.png`` in a roughness slot is data."""
    name = "rock_roughness_srgb_texture.png"
    (tmp_path / name).write_bytes(b.png())
    assert judged(images_of(sheet(tmp_path, f"{name},x,roughness,,,"))[name]) == ("data", "settled")


def test_profile_in_gltf_and_in_a_sheet(tmp_path: Path):
    """The same P3 picture is the slot's space in glTF, which ignores profiles, and P3 elsewhere.

    Source: glTF 2.0, 3.8.3: colour metadata in image files must be ignored.
    """
    (tmp_path / "a.png").write_bytes(b.png(3, "uint8", p3_profile()))
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}]))
    in_gltf = images_of(scene)["a.png"]
    in_sheet = images_of(sheet(tmp_path, "a.png,x,base_color,,,"))["a.png"]
    assert judged(in_gltf) == ("srgb_rec709_scene", "likely")
    assert judged(in_sheet) == ("srgb_p3d65_scene", "settled")
    assert in_gltf.uses[0].today == "srgb_rec709_scene"
    assert in_sheet.uses[0].today == "unknown"


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_gltf_fixes_the_slot(dtype: str, tmp_path: Path):
    """Without a contradiction the standard settles the reading, at any depth."""
    (tmp_path / "a.png").write_bytes(b.png(3, dtype))
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}]))
    assert judged(images_of(scene)["a.png"]) == ("srgb_rec709_scene", "settled")


def test_declaration_outranks_the_prior(tmp_path: Path):
    """What the scene declares is the reading, and what it is read as today."""
    (tmp_path / "a.png").write_bytes(b.png())
    image = images_of(sheet(tmp_path, "a.png,x,base_color,,acescg,"))["a.png"]
    assert judged(image) == ("lin_ap1_scene", "settled")
    assert image.uses[0].today == "lin_ap1_scene"


def test_declaration_against_a_data_slot(tmp_path: Path):
    """A colour space declared for a data slot is a conflict, with both named."""
    (tmp_path / "a.png").write_bytes(b.png())
    image = images_of(sheet(tmp_path, "a.png,x,roughness,,acescg,"))["a.png"]
    assert judged(image) == ("unknown", "conflicting")


def test_declared_name_that_nobody_knows(tmp_path: Path):
    """An unknown name declares nothing; today's reading is unknown and says why."""
    (tmp_path / "a.png").write_bytes(b.png())
    image = images_of(sheet(tmp_path, "a.png,x,base_color,,moonlight,"))["a.png"]
    assert judged(image) == ("srgb_rec709_scene", "likely")
    assert image.uses[0].today == "unknown"
    assert "moonlight" in image.uses[0].today_why


def test_token_against_a_statement(tmp_path: Path):
    """A name that says ACEScg and a file that says P3 are a conflict, not a choice."""
    (tmp_path / "a_acescg.png").write_bytes(b.png(3, "uint8", b.chunk(b"cICP", P3_CICP)))
    image = images_of(sheet(tmp_path, "a_acescg.png,x,base_color,,,"))["a_acescg.png"]
    assert judged(image) == ("unknown", "conflicting")
    assert {c.reading for c in image.judgement.candidates} >= {"lin_ap1_scene", "srgb_p3d65_scene"}


# --- folders: no slot says anything ---


def half_exr(path: Path, top: float = 0.8) -> None:
    light = np.linspace(0.1, top, 256, dtype=np.float32).reshape(16, 16, 1)
    write_pixels(path, light * np.array([0.9, 0.5, 0.3], dtype=np.float32), pixel_type="half")


@pytest.mark.parametrize("top", [0.8, 50.0])
def test_untagged_exr_in_a_folder(top: float, tmp_path: Path):
    """An OpenEXR file without a statement is unknown where no slot speaks, bright or not."""
    half_exr(tmp_path / "a.exr", top)
    assert judged(images_of(tmp_path)["a.exr"]) == ("unknown", "unknown")


@pytest.mark.parametrize("dtype", ["uint8", "uint16", "float32"])
def test_untagged_tiff_in_a_folder(dtype: str, tmp_path: Path):
    """A TIFF file without a statement is unknown where no slot speaks."""
    pixels = b.colour_pixels(3, "uint8").astype(dtype)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb")
    assert judged(images_of(tmp_path)["a.tif"]) == ("unknown", "unknown")


def test_stated_png_in_a_folder_may_be_data(tmp_path: Path):
    """An sRGB chunk alone does not make a picture colour: writers stamp data maps too."""
    grey = b.png_of(np.repeat(b.colour_pixels(1), 3, 2), SRGB_CHUNK)
    (tmp_path / "a.png").write_bytes(grey)
    assert images_of(tmp_path)["a.png"].reading == "unknown"


def test_normal_map_by_its_pixels(tmp_path: Path):
    """Pixels that are unit vectors are data even in a folder, with an sRGB chunk and no name."""
    (tmp_path / "a.png").write_bytes(b.png_of(b.normal_pixels(), SRGB_CHUNK))
    image = images_of(tmp_path)["a.png"]
    assert image.reading == "data"
    assert image.content == "normal"


def test_token_settles_it(tmp_path: Path):
    """A token in the name settles the reading where nothing else speaks."""
    half_exr(tmp_path / "a_lin_ap0_scene.exr")
    (tmp_path / "b_data.png").write_bytes(b.png())
    images = images_of(tmp_path)
    assert judged(images["a_lin_ap0_scene.exr"]) == ("lin_ap0_scene", "settled")
    assert judged(images["b_data.png"]) == ("data", "settled")


@pytest.mark.parametrize("name", ["caraway-seeds.jpg", "raw/beauty.png", "drawing.png"])
def test_letters_in_a_path_are_no_evidence(name: str, tmp_path: Path):
    """A folder called raw, or letters inside a word, never make a picture data."""
    path = tmp_path / name
    path.parent.mkdir(exist_ok=True)
    if path.suffix == ".jpg":
        write_pixels(path, b.colour_pixels())
    else:
        path.write_bytes(b.png())
    image = images_of(tmp_path)[name]
    assert image.reading != "data"
    assert [e for e in image.evidence if e.witness == "name"] == []


def test_library_default_is_no_evidence(tmp_path: Path):
    """A PNG without any chunk states nothing, though the image library calls it sRGB."""
    (tmp_path / "a.png").write_bytes(b.png())
    image = images_of(tmp_path)["a.png"]
    assert image.record.header is not None
    assert image.record.header.statements == ()
    assert all(e.prior for e in image.evidence if e.witness == "header")
    assert image.standing in ("likely", "unknown")


# --- more than one use ---


def test_one_picture_two_readings(tmp_path: Path):
    """Colour and data wanted of the same channels conflict; each use keeps its own reading."""
    (tmp_path / "a.png").write_bytes(b.png())
    materials = [b.BASE_COLOUR | {"occlusionTexture": {"index": 0}}]
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}], materials))
    image = images_of(scene)["a.png"]
    assert judged(image) == ("unknown", "conflicting")
    assert [u.judgement.reading for u in image.uses] == ["srgb_rec709_scene", "data"]
    assert {c.reading for c in image.judgement.candidates} == {"srgb_rec709_scene", "data"}


def test_colour_with_cut_out_is_no_conflict(tmp_path: Path):
    """Base colour in RGB and opacity in A of one picture agree: alpha is always data."""
    (tmp_path / "a.png").write_bytes(b.png(4))
    materials = [b.BASE_COLOUR | {"alphaMode": "MASK"}]
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}], materials))
    image = images_of(scene)["a.png"]
    assert judged(image) == ("srgb_rec709_scene", "settled")
    assert [u.judgement.reading for u in image.uses] == ["srgb_rec709_scene", "data"]
    assert image.content == "base_color"


def test_packed_channels(tmp_path: Path):
    """Occlusion, roughness and metalness in one picture agree; the picture is packed."""
    (tmp_path / "orm_color.png").write_bytes(b.png())
    material = {
        "occlusionTexture": {"index": 0},
        "pbrMetallicRoughness": {"metallicRoughnessTexture": {"index": 0}},
    }
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "orm_color.png"}], [material]))
    image = images_of(scene)["orm_color.png"]
    assert judged(image) == ("data", "settled")
    assert image.content == "packed"


def test_two_scenes_two_declarations(tmp_path: Path):
    """Two scenes that declare one picture two ways conflict."""
    (tmp_path / "a.png").write_bytes(b.png())
    sheet(tmp_path, "a.png,x,base_color,,acescg,", name="one.csv")
    sheet(tmp_path, "a.png,x,base_color,,srgb_texture,", name="two.csv")
    image = images_of(tmp_path)["a.png"]
    assert judged(image) == ("unknown", "conflicting")
    assert {c.reading for c in image.judgement.candidates} == {"lin_ap1_scene", "srgb_rec709_scene"}


def test_alpha_alone(tmp_path: Path):
    """A picture of which only alpha is used is data."""
    (tmp_path / "a.png").write_bytes(b.png(4))
    assert judged(images_of(sheet(tmp_path, "a.png,x,opacity,a,,"))["a.png"]) == ("data", "settled")


def test_siblings(tmp_path: Path):
    """The plain member of a set of maps is a colour by habit, which alone settles nothing."""
    for name in ("bowl.tif", "bowl_normal.tif", "bowl_roughness.tif"):
        tifffile.imwrite(tmp_path / name, b.colour_pixels(), photometric="rgb")
    images = images_of(tmp_path)
    (told,) = [e for e in images["bowl.tif"].evidence if e.witness == "siblings"]
    assert (told.claim, told.content) == ("colour", "base_color")
    assert images["bowl.tif"].reading == "unknown"
    assert [e for e in images["bowl_normal.tif"].evidence if e.witness == "siblings"] == []


# --- colours, and all evidence ---


def test_every_piece_of_evidence_is_told(tmp_path: Path):
    """Each piece has words, a place and a strength, in a fixed order of witnesses."""
    (tmp_path / "bowl_color.png").write_bytes(b.png(3, "uint8", SRGB_CHUNK))
    image = images_of(sheet(tmp_path, "bowl_color.png,x,base_color,,srgb_texture,"))[
        "bowl_color.png"
    ]
    told = [e.witness for e in image.evidence]
    assert sorted(set(told)) == ["declaration", "header", "name", "pixels", "slot"]
    assert told == sorted(told, key=["declaration", "slot", "header", "name", "pixels"].index)
    assert all(e.words and str(e.location) and e.strength > 0 for e in image.evidence)


@pytest.mark.parametrize(
    ("row", "from_space", "reading"),
    [
        (",x,base_color,,lin_rec709,0.5 0.4 0.3", None, "lin_rec709_scene"),
        (",x,base_color,,,0.5 0.4 0.3", "lin_rec709_scene", "lin_rec709_scene"),
        (",x,base_color,,unknown,0.5 0.4 0.3", "lin_rec709_scene", "lin_rec709_scene"),
        (",x,base_color,,acescg,0.5 0.4 0.3", "lin_rec709_scene", "lin_ap1_scene"),
        (",x,base_color,,,0.5 0.4 0.3", None, "unknown"),
        (",x,base_color,,moonlight,0.5 0.4 0.3", "lin_rec709_scene", "unknown"),
    ],
)
def test_colours(row: str, from_space: str | None, reading: str, tmp_path: Path):
    """A picked colour is read by its declaration, else by the space the scene was made in."""
    options = {"from_space": from_space} if from_space else {}
    (colour,) = readings_of(sheet(tmp_path, row), **options).colours
    assert colour.reading == reading
    if reading == "unknown":
        assert colour.working is None
    else:  # linear Rec.709 (0.5, 0.4, 0.3) in ACEScg, computed from the published matrices
        expected = {
            "lin_rec709_scene": (0.456571795099, 0.405674132400, 0.315080095870),
            "lin_ap1_scene": (0.5, 0.4, 0.3),
        }[reading]
        assert colour.working == pytest.approx(expected, abs=1e-6)


def test_gltf_says_what_the_scene_was_made_in(tmp_path: Path):
    """The factors of a glTF scene tell the working space it was made in."""
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([], [{"emissiveFactor": [1, 0, 0]}]))
    found = readings_of(scene)
    assert found.from_space == "lin_rec709_scene"
    assert found.colours[0].working == pytest.approx((0.613097, 0.070194, 0.020616), abs=1e-6)
