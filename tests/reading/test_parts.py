"""Every part and layer of a file has a reading of its own; the image's is that of the main one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from tests.images import profiles as icc
from tests.images.parts import AP1_XY, one_part, several
from tests.reading.worlds import images_of, readings_of, sheet

from primecoat.checks import run_checks
from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.reading.judgement import ImageReading

AP1 = "lin_ap1_scene"
REC709 = "lin_rec709_scene"
RGB = "R G B"
ID_AP1 = {"colorInteropID": AP1}
ID_DATA = {"colorInteropID": "data"}

Told = list[tuple[str, str, str, str]]


def image(folder: Path) -> ImageReading:
    (one,) = images_of(folder).values()
    return one


def told(found: ImageReading) -> Told:
    """Return name or layer, channels, reading and standing of every part."""
    return [
        (
            ".".join(filter(None, (p.name, p.layer.view, p.layer.name))),
            " ".join(p.layer.channels),
            p.judgement.reading,
            p.judgement.standing,
        )
        for p in found.parts
    ]


def by_channels(found: ImageReading) -> dict[str, str]:
    return {" ".join(p.layer.channels): p.judgement.reading for p in found.parts}


# --- parts ---


def test_all_parts_named_rgb(tmp_path: Path):
    """Each part follows its own ID, as ASWF Color Interop Forum, *Identifying the Color Space of
    OpenEXR Files* v1.0.0 has it; where there is none, the name of the part at least asks."""
    several(
        tmp_path / "set.exr",
        ("beauty", RGB, ID_AP1),
        ("normal", RGB, ID_DATA),
        ("glaze", RGB, ID_AP1),
        ("position", RGB, {}),
        ("steam", RGB, {}),
    )
    found = image(tmp_path)
    assert told(found)[1:] == [
        ("normal", RGB, DATA, "settled"),
        ("glaze", RGB, AP1, "settled"),
        ("position", RGB, DATA, "likely"),
        ("steam", RGB, UNKNOWN, "unknown"),
    ]
    assert found.reading == found.parts[0].judgement.reading == AP1
    assert [p.is_main for p in found.parts] == [True, False, False, False, False]
    assert [p.index for p in found.parts] == [0, 1, 2, 3, 4]


def test_id_of_one_part_is_no_statement_of_another(tmp_path: Path):
    several(tmp_path / "set.exr", ("a", RGB, {}), ("b", RGB, ID_AP1), ("c", RGB, {}))
    assert [reading for *_, reading, _ in told(image(tmp_path))] == [UNKNOWN, AP1, UNKNOWN]


@pytest.mark.parametrize("channels", [RGB, "Y", "Y RY BY"])
def test_unknown_is_no_hint(channels: str, tmp_path: Path):
    several(
        tmp_path / "set.exr",
        ("a", RGB, ID_AP1),
        ("b", channels, {"colorInteropID": "unknown"}),
        ("c", channels, {}),
    )
    assert [reading for *_, reading, _ in told(image(tmp_path))][1:] == [UNKNOWN, UNKNOWN]


def test_chromaticities_lead_the_candidates_of_a_part(tmp_path: Path):
    said = {"chromaticities": AP1_XY}
    several(tmp_path / "set.exr", ("a", RGB, said), ("b", RGB, said))
    judged = image(tmp_path).parts[1].judgement
    assert (judged.reading, judged.candidates[0].reading) == (UNKNOWN, AP1)


def test_chromaticities_against_the_id_of_a_part_are_a_question(tmp_path: Path):
    said = {"colorInteropID": REC709, "chromaticities": AP1_XY}
    several(tmp_path / "set.exr", ("a", RGB, {"chromaticities": AP1_XY}), ("b", RGB, said))
    assert told(image(tmp_path))[1] == ("b", RGB, REC709, "likely")
    assert [f.code for f in run_checks(readings_of(tmp_path))] == ["PC112"]


def test_chromaticities_that_belong_to_another_part_are_no_question(tmp_path: Path):
    """OpenEXR *Technical Introduction*, "Shared attributes": they are the same in all parts."""
    shared = {"chromaticities": AP1_XY}
    several(
        tmp_path / "set.exr",
        ("a", RGB, {**shared, **ID_AP1}),
        ("b", RGB, {**shared, "colorInteropID": "srgb_rec709_scene"}),
        ("c", "Z", shared),
    )
    found = image(tmp_path)
    assert [reading for *_, reading, _ in told(found)[1:]] == ["srgb_rec709_scene", DATA]
    doubts = [e.words for e in found.parts[1].evidence if e.set_aside and e.strength > 0]
    assert doubts == [f"Part 0 (a) of the file states {AP1}."]


def test_parts_that_state_two_spaces_are_read_so_and_asked_about(tmp_path: Path):
    """Color Interop Forum: a disagreement is a question; `data` beside colour is none."""
    space = {"colorInteropID": REC709}
    several(tmp_path / "set.exr", ("a", RGB, ID_AP1), ("b", RGB, space), ("c", RGB, ID_DATA))
    found = image(tmp_path)
    assert (found.reading, found.standing) == (AP1, "likely")
    assert told(found)[1:] == [("b", RGB, REC709, "likely"), ("c", RGB, DATA, "settled")]
    (raised,) = run_checks(readings_of(tmp_path))
    assert raised.code == "PC112"
    assert f"part 0 (a) states {AP1}, part 1 (b) states {REC709}" in raised.message


def test_container_flag_speaks_for_parts_that_say_nothing(tmp_path: Path):
    """SMPTE ST 2065-4: the flag stands for ACES2065-1 in the whole container."""
    several(
        tmp_path / "set.exr",
        ("a", RGB, {"acesImageContainerFlag": 1}),
        ("b", RGB, {}),
        ("c", "Z:float", {}),
        ("d", RGB, ID_DATA),
        ("e", RGB, ID_AP1),
    )
    assert told(image(tmp_path))[1:] == [
        ("b", RGB, "lin_ap0_scene", "likely"),
        ("c", "Z", DATA, "settled"),
        ("d", RGB, DATA, "settled"),
        ("e", RGB, AP1, "likely"),
    ]


def test_token_of_the_file_speaks_for_parts_that_say_nothing(tmp_path: Path):
    several(tmp_path / "set_lin_ap1_scene.exr", ("a", RGB, {}), ("b", RGB, {}), ("c", "Z", {}))
    assert [reading for *_, reading, _ in told(image(tmp_path))][1:] == [AP1, DATA]
    quiet = images_of(tmp_path, without=["name"])["set_lin_ap1_scene.exr"]
    assert [reading for *_, reading, _ in told(quiet)][1:] == [UNKNOWN, DATA]


def test_statement_against_the_name_of_a_part_is_never_settled(tmp_path: Path):
    """Writers stamp one ID on every part; normals named so stay data, as a question."""
    several(tmp_path / "set.exr", ("a", RGB, ID_AP1), ("normals", RGB, ID_AP1))
    assert told(image(tmp_path))[1] == ("normals", RGB, DATA, "likely")


def test_unknown_id_is_told(tmp_path: Path):
    several(tmp_path / "set.exr", ("a", RGB, ID_AP1), ("b", RGB, {"colorInteropID": "kiln:glow"}))
    found = image(tmp_path).parts[1]
    assert found.judgement.reading == UNKNOWN
    assert [c.reading for c in found.judgement.candidates] == [DATA]
    (raised,) = run_checks(readings_of(tmp_path))
    assert raised.code == "PC113"
    assert "part 1 (b)" in raised.message
    assert "kiln:glow" in raised.message


# --- layers in one part ---


def test_layers_beside_the_main_one(tmp_path: Path):
    """An ID is about the colour channels of its part, in whatever layer."""
    channels = f"{RGB} A diffuse.R diffuse.G diffuse.B N.X N.Y N.Z P.X P.Y P.Z UV.U UV.V Z:float"
    one_part(tmp_path / "set.exr", f"{channels} id:uint", **ID_AP1)
    found = image(tmp_path)
    assert by_channels(found) == {
        "R G B A": found.reading,
        "diffuse.R diffuse.G diffuse.B": AP1,
        "N.X N.Y N.Z": DATA,
        "P.X P.Y P.Z": DATA,
        "UV.U UV.V": DATA,
        "Z": DATA,
        "id": DATA,
    }
    assert {s for *_, s in told(found)[1:]} == {"settled"}
    assert found.reading == AP1


def test_layers_without_a_statement(tmp_path: Path):
    one_part(
        tmp_path / "set.exr", f"{RGB} diffuse.R diffuse.G diffuse.B normal.R normal.G normal.B"
    )
    found = by_channels(image(tmp_path))
    assert found["diffuse.R diffuse.G diffuse.B"] == UNKNOWN
    assert found["normal.R normal.G normal.B"] == DATA


@pytest.mark.parametrize(
    ("channels", "expected"),
    [
        ("N R G B A", {"R G B A": AP1, "N": DATA}),
        ("R G B Z:float", {"R G B": AP1, "Z": DATA}),
        ("R:half G:half B:half Z:float id:uint", {"R G B": AP1, "Z": DATA, "id": DATA}),
        ("Y A Z:float", {"Y A": AP1, "Z": DATA}),
    ],
)
def test_main_colour_whatever_its_place(channels: str, expected: dict[str, str], tmp_path: Path):
    """The three orders that go wrong where the first three channels are taken for colour."""
    one_part(tmp_path / "bowl.exr", channels, **ID_AP1)
    target = sheet(tmp_path, "bowl.exr,bowl,base_color,,,")
    found = images_of(target)["bowl.exr"]
    assert by_channels(found) == expected
    assert (found.reading, found.standing) == (AP1, "settled")
    assert found.parts[0].judgement is found.judgement


@pytest.mark.parametrize("channels", ["Y", "Y A", "R G B", "R G B A"])
def test_plain_picture_has_no_parts(channels: str, tmp_path: Path):
    one_part(tmp_path / "bowl.exr", channels, **ID_AP1)
    found = image(tmp_path)
    assert found.parts == ()
    assert found.record.header is not None
    assert found.record.header.part_headers == ()


@pytest.mark.parametrize("channels", ["Z:float", "N.X N.Y N.Z", "R:uint G:uint B:uint"])
def test_channels_that_are_no_colour_make_a_data_image(channels: str, tmp_path: Path):
    one_part(tmp_path / "bowl.exr", channels, **ID_AP1)
    assert image(tmp_path).reading == DATA


def test_views(tmp_path: Path):
    """OpenEXR, *Storing Multi-View Images*: names without a view belong to the first one."""
    one_part(
        tmp_path / "set.exr",
        f"{RGB} left.R left.G left.B diffuse.left.R diffuse.left.G diffuse.left.B left.Z:float",
        multiView=["right", "left"],
        **ID_AP1,
    )
    found = image(tmp_path)
    assert [(p.layer.view, p.layer.name, p.judgement.reading) for p in found.parts] == [
        ("right", "", found.reading),
        ("left", "", AP1),
        ("left", "", DATA),
        ("left", "diffuse", AP1),
    ]


def test_same_names_without_views_are_layers(tmp_path: Path):
    one_part(tmp_path / "set.exr", f"{RGB} left.R left.G left.B", **ID_AP1)
    assert [(p.layer.view, p.layer.name) for p in image(tmp_path).parts] == [("", ""), ("", "left")]


def test_a_scene_and_a_person_speak_of_the_main_part(tmp_path: Path):
    several(tmp_path / "bowl.exr", ("a", RGB, {}), ("b", RGB, {}))
    target = sheet(tmp_path, f"bowl.exr,bowl,base_color,,{REC709},")
    found = images_of(target)["bowl.exr"]
    assert told(found) == [("a", RGB, REC709, "settled"), ("b", RGB, UNKNOWN, "unknown")]


def test_without_the_header_nothing_is_said_of_other_parts(tmp_path: Path):
    several(tmp_path / "set.exr", ("a", RGB, ID_AP1), ("b", RGB, ID_AP1))
    (found,) = images_of(tmp_path, without=["header"]).values()
    assert (found.parts[1].judgement.reading, found.parts[1].evidence) == (UNKNOWN, ())


# --- TIFF pages ---

PIXELS = np.random.default_rng(1).integers(0, 256, (64, 64, 3), dtype=np.uint8)


def pages(path: Path, *written: tuple[np.ndarray, dict[str, Any]]) -> Path:
    """Write pages by tifffile."""
    with tifffile.TiffWriter(path) as out:
        for pixels, options in written:
            out.write(pixels, **options)
    return path


def test_tiff_pages_are_parts(tmp_path: Path):
    tagged = {"photometric": "rgb", "iccprofile": icc.rgb_profile("adobergb", icc.curv(563))}
    name = [(285, "s", 0, "normal", True)]
    pages(
        tmp_path / "set.tif",
        (PIXELS, {"photometric": "rgb"}),
        (PIXELS + 1, tagged),
        (PIXELS[:40], {"photometric": "rgb", "extratags": name}),
        (PIXELS[..., 0], {"photometric": "minisblack"}),
    )
    found = image(tmp_path)
    assert told(found)[1:] == [
        ("", RGB, "g22_adobergb_scene", "likely"),
        ("normal", RGB, DATA, "likely"),
        ("", "Y", UNKNOWN, "unknown"),
    ]
    assert found.record.header is not None
    assert (found.record.header.parts, found.record.header.levels) == (4, 1)


def test_transparency_mask_is_data(tmp_path: Path):
    mask = {"photometric": "mask", "subfiletype": 4}
    pages(
        tmp_path / "set.tif",
        (PIXELS, {"photometric": "rgb"}),
        (PIXELS[..., 0] > 99, mask),
    )
    assert told(image(tmp_path))[1] == ("", "A", DATA, "settled")
