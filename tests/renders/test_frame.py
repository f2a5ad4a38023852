"""One render of a comparison: who says its space, which layer it is, what is refused."""

from __future__ import annotations

import io

import numpy as np
import OpenEXR
import pytest
from PIL import Image, ImageCms
from tests.images import written as by_hand
from tests.images.parts import one_part, several
from tests.renders.balls import balls, written

from primecoat.errors import UseError
from primecoat.renders.frame import open_frame, read_bands, same_size, sequence

AP1 = "lin_ap1_scene"


def whole(frame):
    return np.concatenate([rows for _, rows in read_bands(frame)])


def test_nobody_says_the_space(tmp_path):
    path = written(tmp_path / "old.exr", balls(32, 20))
    with pytest.raises(UseError, match="Nobody says which space"):
        open_frame(path, space=None)
    hint = one_part(tmp_path / "hint.exr", "R G B", chromaticities=(0.713, 0.293, 0.165, 0.83) * 2)
    with pytest.raises(UseError, match="Nobody says"):
        open_frame(hint, space=None)
    assert open_frame(path, space="ACEScg").space == AP1
    with pytest.raises(UseError, match="no colour space 'moonlight'"):
        open_frame(path, space="moonlight")


def test_the_file_states_it_and_a_person_rules(tmp_path):
    path = written(tmp_path / "old.exr", balls(32, 20), "lin_rec709_scene")
    stated = open_frame(path, space=None)
    assert (stated.space, stated.said_by) == ("lin_rec709_scene", "colorInteropID")
    assert open_frame(path, space=AP1).space == AP1


def test_statements_of_display_files_mean_the_display(tmp_path):
    """IEC 61966-2-1, ITU-T H.273 and ICC.1: an sRGB chunk or profile speaks of a display."""
    chunk = tmp_path / "chunk.png"
    chunk.write_bytes(by_hand.png(by_hand.chunk(b"sRGB", b"\0")))
    assert open_frame(chunk, space=None).space == "srgb_rec709_display"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photo = io.BytesIO()
    Image.new("RGB", (8, 8), (181, 101, 29)).save(photo, "JPEG", icc_profile=profile)
    (tmp_path / "seen.jpg").write_bytes(photo.getvalue())
    assert open_frame(tmp_path / "seen.jpg", space=None).space == "srgb_rec709_display"


def test_layers_and_parts(tmp_path):
    path = several(
        tmp_path / "many.exr",
        ("beauty", "R G B A Z:float", {}),
        ("light", "R:float G:float B:float key.R:float key.G:float key.B:float ID:uint", {}),
    )
    first = open_frame(path, space=AP1)
    assert (first.part, first.layer, first.alpha, first.stored) == (0, "", True, "half")
    key = open_frame(path, space=AP1, layer="key")
    assert (key.part, key.layer, key.alpha, key.stored) == (1, "key", False, "float")
    with OpenEXR.File(str(path), separate_channels=True) as file:
        planes = [file.parts[1].channels[f"key.{c}"].pixels for c in "RGB"]
    np.testing.assert_array_equal(whole(key), np.stack(planes, axis=-1))
    assert open_frame(path, space=AP1, part="light").part == 1
    assert open_frame(path, space=AP1, part="1").part == 1
    with pytest.raises(UseError, match="no layer 'rim'"):
        open_frame(path, space=AP1, layer="rim")
    with pytest.raises(UseError, match="in part shadow"):
        open_frame(path, space=AP1, part="shadow")


def test_alpha_is_divided_out_only_of_numbers_with_a_curve(tmp_path):
    pixels = np.full((4, 4, 4), 0.25, np.float32)
    pixels[..., 3] = 0.5
    pixels[0, 0] = 0
    path = written(tmp_path / "cut-out.exr", pixels)
    assert np.unique(whole(open_frame(path, space=AP1))).tolist() == [0, 0.25]
    assert np.unique(whole(open_frame(path, space="srgb_rec709_display"))).tolist() == [0, 0.5]


def test_size_or_channels_that_differ_are_refused(tmp_path):
    light = balls(32, 20)
    alpha = np.ones((20, 32, 1), np.float32)
    frame, smaller, cut_out, grey = (
        open_frame(written(tmp_path / f"{name}.exr", pixels, AP1), space=None)
        for name, pixels in (
            ("frame", light),
            ("smaller", light[:-1]),
            ("cut_out", np.concatenate([light, alpha], axis=-1)),
            ("grey", light[..., :1]),
        )
    )
    same_size(frame, frame)
    for other, words in ((smaller, "32 x 20 and 32 x 19"), (grey, "3 and 1")):
        with pytest.raises(UseError, match=words):
            same_size(frame, other)
    with pytest.raises(UseError, match="--colour-only"):
        same_size(frame, cut_out)
    same_size(frame, cut_out, colour_only=True)


def test_cropped_pixels_must_lie_at_one_place(tmp_path):
    plane = np.full((4, 4), 0.5, np.float32)
    frames = []
    for left in (0, 2):
        box = (np.array([left, 0], np.int32), np.array([left + 3, 3], np.int32))
        header = {"dataWindow": box, "displayWindow": (np.zeros(2, "i4"), np.full(2, 7, "i4"))}
        path = tmp_path / f"crop{left}.exr"
        OpenEXR.File(header, {"R": plane, "G": plane, "B": plane}).write(str(path))
        frames.append(open_frame(path, space=AP1))
    with pytest.raises(UseError, match="first pixel differs"):
        same_size(*frames)


def test_sequence_by_either_pattern(tmp_path):
    for name in ("tea.0002.exr", "tea.0010.exr", "tea.1.exr", "tea.10000.exr", "cup.0001.exr"):
        (tmp_path / name).touch()
    wanted = ["tea.0002.exr", "tea.0010.exr", "tea.10000.exr"]
    for pattern in ("tea.####.exr", "tea.%04d.exr"):
        assert [path.name for path in sequence(tmp_path / pattern)] == wanted
    assert sequence(tmp_path / "tea.1.exr") == (tmp_path / "tea.1.exr",)
    with pytest.raises(UseError, match="No file has a name like"):
        sequence(tmp_path / "pot.####.exr")
