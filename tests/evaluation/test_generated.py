"""The generated set: the same each time, and labelled truly, as independent readers see it."""

from __future__ import annotations

import csv
import hashlib
import io
from collections import Counter
from pathlib import Path

import colour
import numpy as np
import OpenEXR
import pytest
import tifffile
from evaluation.cases import SIZES, Case, generate
from evaluation.contents import content
from evaluation.generated import generated_set
from evaluation.generated import sheet_of as generated_sheet
from evaluation.reading import SEED
from evaluation.recipes import choose_recipe
from evaluation.writing import XY, Recipe, carries, write
from PIL import Image, ImageCms

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.errors import UseError

Set = tuple[Path, tuple[Case, ...]]

COLOURS = {  # names in the colour-science library
    "rec709": "ITU-R BT.709",
    "p3d65": "P3-D65",
    "rec2020": "ITU-R BT.2020",
    "adobergb": "Adobe RGB (1998)",
    "ap0": "ACES2065-1",
    "ap1": "ACEScg",
}


def _hashes(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".primecoat" not in path.parts and path.name != "labels.json"
    }


def test_the_same_seed_gives_the_same_files(small_set: Set, tmp_path: Path):
    folder, cases = small_set
    assert generate(tmp_path, SIZES["small"], SEED) == cases
    assert _hashes(tmp_path) == _hashes(folder)
    assert len(cases) == SIZES["small"]
    assert len({case.path for case in cases}) == len(cases)


def test_another_seed_gives_other_files(small_set: Set, tmp_path: Path):
    other = {
        hashlib.sha256((tmp_path / c.path).read_bytes()) for c in generate(tmp_path, 20, SEED + 1)
    }
    assert not {h.hexdigest() for h in other} & set(_hashes(small_set[0]).values())


def test_a_kept_set_is_taken_again_and_not_mistaken(small_set: Set, tmp_path: Path):
    folder, cases = small_set
    assert generated_set(folder, SIZES["small"], SEED) == cases
    with pytest.raises(UseError, match="another set"):
        generated_set(folder, SIZES["small"], SEED + 1)
    (tmp_path / "notes.txt").write_text("glaze")
    with pytest.raises(UseError, match="something else"):
        generated_set(tmp_path, 5, SEED)


def test_the_sheet_puts_every_picture_into_its_slots(small_set: Set):
    folder, cases = small_set
    with generated_sheet(folder).open(newline="", encoding="utf-8") as stream:
        rows = [(r["path"], r["slot"], r["channels"]) for r in csv.DictReader(stream)]
    assert rows == [(c.path, *use) for c in cases for use in c.uses]


def test_labels_agree_with_one_another(small_set: Set):
    for case in small_set[1]:
        if case.kind == "data":
            assert (case.space, case.stored) == (DATA, DATA)
            continue
        assert case.stored in SPACES
        by_name = case.name_style == "token"
        told = by_name or (case.header == "true" and case.statement != "gama")
        assert case.space == (case.stored if told else UNKNOWN)
        if case.name_style == "token":
            assert case.stored in case.path
    kinds = Counter(case.kind for case in small_set[1])
    assert min(kinds.values()) > 100


def test_every_statement_stands_in_the_file_as_other_readers_see_it(small_set: Set):
    folder, cases = small_set
    checked: Counter[str] = Counter()
    for case in cases:
        path = folder / case.path
        if path.suffix == ".exr":
            _check_exr(path, case)
        elif path.suffix == ".hdr":
            assert (b"PRIMARIES=" in path.read_bytes()[:300]) == (case.statement == "primaries")
        elif path.suffix == ".tif":
            with tifffile.TiffFile(path) as tiff:
                profile = tiff.pages.first.tags.get(34675)
                assert (profile is not None) == (case.statement == "icc")
        else:
            _check_by_pillow(path, case)
        checked[case.statement] += 1
    assert set(checked) >= {"none", "srgb", "icc", "cicp", "gama_chrm", "exif", "id"}
    assert set(checked) >= {"chromaticities", "primaries"}


def _check_exr(path: Path, case: Case) -> None:
    header = OpenEXR.File(str(path)).header()
    if case.statement == "id":
        stated = header["colorInteropID"]
        assert stated == case.stored if case.header == "true" else stated != case.stored
    else:
        assert "colorInteropID" not in header
    assert ("chromaticities" in header) == (case.statement == "chromaticities")
    if case.statement == "chromaticities" and case.header == "true":
        expected = XY[SPACES[case.stored].primaries]
        np.testing.assert_allclose(np.ravel(header["chromaticities"]), expected, atol=1e-6)


def _check_by_pillow(path: Path, case: Case) -> None:
    data = path.read_bytes()
    with Image.open(io.BytesIO(data)) as picture:
        picture.load()
        info, exif = picture.info, picture.getexif()
    assert ("icc_profile" in info) == (case.statement == "icc")
    if path.suffix == ".png":
        assert ("srgb" in info) == (case.statement == "srgb")
        assert ("chromaticity" in info) == (case.statement == "gama_chrm")
        assert ("gamma" in info) == (case.statement in ("srgb", "gama", "gama_chrm"))
        assert (b"cICP" in data[:80]) == (case.statement == "cicp")
    if path.suffix == ".jpg":  # EXIF ColorSpace (CIPA DC-008, tag 40961) is 1 for sRGB
        found = exif.get_ifd(0x8769).get(0xA001)
        assert found == (1 if case.statement == "exif" else None)


ICC_SPACES = [space for space in SPACES if carries("png", "uint8", "icc", space, grey=False)]


@pytest.mark.parametrize("space", ICC_SPACES)
def test_numbers_and_profile_mean_the_same_light(space: str, tmp_path: Path):
    """A colour written in a space with its profile is seen right by LittleCMS.

    The light that goes in is encoded to sRGB by the colour-science library; LittleCMS (through
    Pillow) takes the file's numbers to sRGB by the file's own profile. Two codes are left for
    rounding to 8 bits before and after; dark linear codes are too coarse, so none are taken.
    """
    light = np.array([[0.40, 0.22, 0.15], [0.18, 0.30, 0.24], [0.55, 0.55, 0.55]], np.float32)
    picture = content.colour("base_color", "base_color", np.tile(light[None], (8, 1, 1)))
    recipe = Recipe(ending="png", pixel_type="uint8", stored=space, statement="icc", stated=space)
    write(tmp_path / "cup.png", picture, recipe, np.random.default_rng(1))
    with Image.open(tmp_path / "cup.png") as opened:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(opened.info["icc_profile"]))
        seen = ImageCms.profileToProfile(opened, profile, ImageCms.createProfile("sRGB"))
    assert seen is not None
    expected = np.round(colour.cctf_encoding(light, function="sRGB") * 255)
    assert np.abs(np.asarray(seen, np.float64)[0] - expected).max() <= 2


@pytest.mark.parametrize("primaries", sorted(COLOURS))
def test_numbers_in_linear_spaces_match_another_library(primaries: str, tmp_path: Path):
    """Linear numbers in an EXR file against the colour-science library (Bradford adaptation)."""
    light = np.array([[0.7, 0.2, 0.1], [0.1, 0.5, 0.9]], np.float32)
    picture = content.colour("base_color", "base_color", light[None])
    recipe = Recipe(ending="exr", pixel_type="float", stored=f"lin_{primaries}_scene")
    write(tmp_path / "cup.exr", picture, recipe, np.random.default_rng(1))
    stored = OpenEXR.File(str(tmp_path / "cup.exr")).channels()["RGB"].pixels
    expected = colour.RGB_to_RGB(
        light,
        colour.RGB_COLOURSPACES["ITU-R BT.709"],
        colour.RGB_COLOURSPACES[COLOURS[primaries]],
        chromatic_adaptation_transform="Bradford",
    )
    np.testing.assert_allclose(stored[0], expected, atol=5e-4)


def test_all_spaces_and_writers_are_met():
    """Every space of the vocabulary is written with a true statement, and every writer is used."""
    spaces: Counter[str] = Counter()
    writers: Counter[str] = Counter()
    light = np.full((4, 4, 3), 0.2, np.float32)
    pictures = (
        content.colour("backplate", "backplate", light),
        content.colour("base_color", "picture", light),
        content.colour("environment", "environment", light, unbounded=True),
        content.data("normal", "normal", light),
    )
    for number in range(4000):
        rng = np.random.default_rng((7, number))
        recipe, header = choose_recipe(rng, pictures[number % 4])
        writers[recipe.writer] += 1
        if header == "true":
            spaces[recipe.stated] += 1
    assert set(spaces) == {*SPACES, DATA}
    assert set(writers) == {"Pillow", "imagecodecs", "tifffile", "OpenEXR", "palette"}
