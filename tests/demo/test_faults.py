from __future__ import annotations

import json
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from primecoat.demo.faults import (
    BERRY,
    CASE,
    FAULTS,
    FOREIGN_PROFILE,
    LOW_RANGE,
    MISSING,
    SIXTEEN_BIT,
    STALE_TOKEN,
    TWO_READINGS,
)
from primecoat.findings.catalogue import CATALOGUE
from primecoat.images.icc_write import matrix_profile
from primecoat.images.oiio import read_pixels

Chunks = Callable[[Path], dict[str, bytes]]


def pictures_of(folder: Path) -> list[str]:
    document: dict[str, Any] = json.loads((folder / "tea.gltf").read_text(encoding="utf-8"))
    return [image["uri"] for image in document["images"]]


def names_on_disk(folder: Path) -> set[str]:
    return {f"textures/{path.name}" for path in (folder / "textures").iterdir()}


def test_each_fault_has_its_own_picture_and_its_own_finding() -> None:
    assert len({fault.where for fault in FAULTS}) == len(FAULTS) == 9
    assert len({fault.code for fault in FAULTS}) == len(FAULTS)
    assert all(CATALOGUE[fault.code].name == fault.name for fault in FAULTS)


def test_p3_profile_stands_in_the_file_alone(faulted: Path, png_chunks: Chunks) -> None:
    chunks = png_chunks(faulted / FOREIGN_PROFILE.where)
    assert not {"sRGB", "gAMA", "cHRM", "cICP"} & set(chunks)
    _, _, packed = chunks["iCCP"].partition(b"\0")
    assert zlib.decompress(packed[1:]) == matrix_profile("srgb_p3d65_scene", "Display P3")


def test_one_picture_serves_two_readings(faulted: Path, clean: Path) -> None:
    for folder, shared in ((faulted, True), (clean, False)):
        document = json.loads((folder / "tea.gltf").read_text(encoding="utf-8"))
        glaze = next(m for m in document["materials"] if m["name"] == "turquoise glaze")
        colour = glaze["pbrMetallicRoughness"]["baseColorTexture"]["index"]
        assert (colour == glaze["occlusionTexture"]["index"]) is shared
    assert TWO_READINGS.healthy not in names_on_disk(faulted)


@pytest.mark.parametrize("fault", [STALE_TOKEN, BERRY], ids=lambda fault: fault.name)
def test_telling_names_stand_only_in_the_faulted_twin(
    faulted: Path, clean: Path, fault: Any
) -> None:
    assert fault.where in names_on_disk(faulted) - names_on_disk(clean)
    assert fault.healthy in names_on_disk(clean) - names_on_disk(faulted)
    assert (faulted / fault.where).read_bytes() == (clean / fault.healthy).read_bytes()


def test_missing_and_miscased_files(faulted: Path, clean: Path) -> None:
    named, there = set(pictures_of(faulted)), names_on_disk(faulted)
    assert named - there == {MISSING.where, CASE.where}
    assert MISSING.where.lower() not in {name.lower() for name in there}
    assert CASE.where.lower() in there
    assert set(pictures_of(clean)) <= names_on_disk(clean)


def test_sixteen_bit_colour_says_nothing_or_srgb(
    faulted: Path, clean: Path, png_chunks: Chunks
) -> None:
    for folder, said in ((faulted, set()), (clean, {"sRGB", "gAMA", "cHRM"})):
        chunks = png_chunks(folder / SIXTEEN_BIT.where)
        assert chunks["IHDR"][8] == 16
        assert set(chunks) & {"sRGB", "gAMA", "cHRM", "iCCP", "cICP"} == said
    bare, labelled = (read_pixels(folder / SIXTEEN_BIT.where) for folder in (faulted, clean))
    assert np.array_equal(bare, labelled)


def test_low_range_environment_says_nothing(faulted: Path, clean: Path, png_chunks: Chunks) -> None:
    chunks = png_chunks(faulted / LOW_RANGE.where)
    assert chunks["IHDR"][8] == 8
    assert not {"sRGB", "gAMA", "cHRM", "iCCP", "cICP"} & set(chunks)
    row = next(
        line
        for line in (faulted / "tea.csv").read_text(encoding="utf-8").splitlines()
        if line.startswith(LOW_RANGE.where)
    )
    assert row.endswith("environment,rgb,,")
    assert read_pixels(clean / LOW_RANGE.healthy).max() > 100
