"""Files of a matched look: the published numbers, and all forms alike."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.renders.balls import balls, written

import primecoat
from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ocio import DEFAULT_VIEW, convert
from primecoat.colour.primaries import Triple
from primecoat.errors import RefusedError, UseError
from primecoat.images.oiio import read_pixels
from primecoat.renders.inputs import Input
from primecoat.renders.match import files
from primecoat.renders.match.adjustment import GREY, STOP, Adjustment, CdlNumbers
from primecoat.renders.match.files import PICTURE, WrittenLook, write_look
from primecoat.renders.match.look import match_renders
from primecoat.renders.match.model import Match
from primecoat.renders.match.texts import NAME, TEXTS, description
from primecoat.workflow import save_match

REFERENCE = Path(__file__).parents[1] / "data" / "reference"
AP1 = "lin_ap1_scene"


def published() -> list[tuple[CdlNumbers, np.ndarray, np.ndarray]]:
    """Source: tests/data/reference/cdl-vectors__opencolorio-tests.csv; not clamping ones."""
    lines = (REFERENCE / "cdl-vectors__opencolorio-tests.csv").read_text("utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    found: dict[CdlNumbers, list[tuple[Triple, Triple]]] = {}
    for row in rows:
        if row["style"] != "noclamp":
            continue

        def three(name: str, row: dict[str, str] = row) -> tuple[float, float, float]:
            red, green, blue = (float(row[f"{name}_{channel}"]) for channel in "rgb")
            return red, green, blue

        numbers = CdlNumbers(
            slope=three("slope"),
            offset=three("offset"),
            power=three("power"),
            saturation=float(row["sat"]),
        )
        found.setdefault(numbers, []).append((three("in"), three("out")))
    return [
        (numbers, np.array([i for i, _ in pairs]), np.array([o for _, o in pairs]))
        for numbers, pairs in found.items()
    ]


@pytest.mark.parametrize("suffix", [".cc", ".ccc", ".cdl"])
@pytest.mark.parametrize(("numbers", "given", "wanted"), published())
def test_published_vectors(
    tmp_path: Path, suffix: str, numbers: CdlNumbers, given: np.ndarray, wanted: np.ndarray
):
    path = tmp_path / f"look{suffix}"
    path.write_text(TEXTS[suffix](numbers, "as published"), "utf-8")
    transform = ocio.FileTransform(str(path), NAME if suffix != ".cc" else "")
    processor = ocio.Config.CreateRaw().getProcessor(transform)
    run = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    found = np.array([run.applyRGB(list(map(float, colour))) for colour in given])
    assert found == pytest.approx(wanted, abs=2e-6)


def test_a_stop_and_mid_grey():
    """S-2016-001: a stop is 1/17.52; 0.18 is 0.4135884 (as published with ACEScct)."""
    assert pytest.approx(0.4135884, abs=1e-7) == GREY
    assert Adjustment(stops=1).cdl.offset == pytest.approx((STOP,) * 3, abs=1e-7)
    contrast = Adjustment(contrast=1.3).cdl
    assert GREY * contrast.slope[0] + contrast.offset[0] == pytest.approx(GREY, abs=1e-7)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Match:
    folder = tmp_path_factory.mktemp("renders")
    light = balls(96, 60)
    tint = np.array([1.3, 1.1, 0.9], np.float32)
    old = written(folder / "old.exr", light * tint)
    new = written(folder / "new.exr", light)
    return match_renders(
        Input(name=str(old), space=AP1, view=DEFAULT_VIEW),
        Input(name=str(new), space=AP1),
        channels=True,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("written")


@pytest.fixture(scope="module")
def written_files(found: Match, folder: Path) -> tuple[WrittenLook, ...]:
    return write_look(found, folder)


def test_all_files_do_the_same(written_files: tuple[WrittenLook, ...], folder: Path):
    assert [one.path.suffix for one in written_files] == [*TEXTS, ".ocio", ".png"]
    light = np.geomspace(0.002, 60, 30).astype(np.float32).reshape(-1, 3)
    config = ocio.Config.CreateFromFile(str(folder / f"{NAME}.ocio"))

    def run(transform: ocio.Transform) -> np.ndarray:
        out = light.copy()
        processor = config.getProcessor(transform)
        processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(out)
        return out

    to_log = ocio.ColorSpaceTransform("ACEScg", "ACEScct")
    back = ocio.ColorSpaceTransform("ACEScct", "ACEScg")
    clf = run(ocio.FileTransform(str(folder / f"{NAME}.clf")))
    look = run(ocio.LookTransform("ACEScg", "ACEScg", NAME))
    for suffix in (".cc", ".ccc", ".cdl"):
        file = ocio.FileTransform(str(folder / f"{NAME}{suffix}"), NAME)
        if suffix == ".cc":
            file.setCCCId("")
        assert run(ocio.GroupTransform([to_log, file, back])) == pytest.approx(clf, rel=2e-5)
    assert look == pytest.approx(clf, rel=2e-5)
    assert config.getLook(NAME).getProcessSpace() == "ACEScct"


def test_every_file_says_what_its_numbers_cannot(written_files: tuple[WrittenLook, ...]):
    for one in written_files[:4]:
        text = one.path.read_text("utf-8")
        for said in ("ACEScct", "Without clamping", "0.2126, 0.7152, 0.0722", DEFAULT_VIEW):
            assert said in text


def test_words_of_the_outside_are_text(tmp_path: Path):
    path = tmp_path / "look.cc"
    words = description('<tea> & "cup".exr')
    path.write_text(TEXTS[".cc"](CdlNumbers(), words), "utf-8")
    assert len(ocio.CDLTransform.CreateGroupFromFile(str(path))) == 1


@pytest.mark.parametrize("name", [f"{NAME}.cdl", f"{NAME}.ocio", PICTURE])
def test_no_file_is_written_over(found: Match, tmp_path: Path, name: str):
    (tmp_path / name).write_text("mine", "utf-8")
    with pytest.raises(UseError, match="no file is written over"):
        save_match(found, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name).read_text("utf-8") == "mine"


def test_a_file_that_does_something_else_is_not_kept(found: Match, tmp_path: Path, monkeypatch):
    """One channel's slope a thousandth off in the CLF: it is read back, told, and all removed."""

    def wrong(numbers: CdlNumbers, words: str) -> str:
        red, green, blue = numbers.slope
        return TEXTS[".clf"](replace(numbers, slope=(red * 1.001, green, blue)), words)

    monkeypatch.setattr(files, "TEXTS", {**TEXTS, ".clf": wrong})
    with pytest.raises(RefusedError, match="does not do what its numbers say"):
        write_look(found, tmp_path)
    assert not list(tmp_path.iterdir())


def test_what_is_left_is_measured_through_each_file(
    found: Match, written_files: tuple[WrittenLook, ...], folder: Path
):
    """By OpenColorIO and the float64 formula here, apart from the verb's own way."""
    made = {one.path.suffix: one.left for one in written_files}
    assert made.pop(".png") is None
    assert set(made) == {*TEXTS, ".ocio"}
    config = ocio.Config.CreateFromFile(str(folder / f"{NAME}.ocio"))
    old, new = (np.ascontiguousarray(read_pixels(Path(name))) for name in (found.old, found.new))
    seen = []
    for pixels, looks in ((old, ""), (new, NAME)):
        for step in (
            ocio.LookTransform("ACEScg", "ACEScg", looks) if looks else None,
            ocio.DisplayViewTransform("ACEScg", "sRGB - Display", DEFAULT_VIEW),
            ocio.ColorSpaceTransform("sRGB - Display", "CIE XYZ-D65 - Display-referred"),
        ):
            if step is not None:
                processor = config.getProcessor(step)
                processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(pixels)
        seen.append(lab(pixels.reshape(-1, 3)))
    wanted = ciede2000(*seen)
    for left in made.values():
        assert left == pytest.approx((wanted.mean(), np.percentile(wanted, 95)), abs=0.01)


def test_the_demo_renders_with_a_look_that_can_be_said(tmp_path: Path):
    """CIEDE2000 mean 1 and 95 % 2.5: the change of working space itself is in these figures."""
    primecoat.demo(tmp_path / "tea", renders=True)
    before, after = tmp_path / "tea" / "before.exr", tmp_path / "tea" / "after.exr"
    plain = primecoat.match(before, after, in_a="lin_rec709_scene", view_a=DEFAULT_VIEW)
    assert plain.result.residual.mean <= 1.0
    assert plain.result.residual.p95 <= 2.5
    grade = tmp_path / "old.toml"
    grade.write_text(
        'space = "lin_rec709_scene"\n[[correction]]\nexposure = 0.6\n'
        "[[correction]]\nwhite_balance = [1.08, 1, 0.9]\n",
        "utf-8",
    )
    warm = primecoat.match(
        before, after, old_corrections=grade, in_a="lin_rec709_scene", view_a=DEFAULT_VIEW,
        channels=True,
    )  # fmt: skip
    assert warm.chosen == "channels"
    assert warm.result.residual.mean <= 1.0
    assert warm.result.residual.p95 <= 2.5
    assert convert((0.18,) * 3, "lin_rec709_scene", AP1) == pytest.approx((0.18,) * 3, abs=1e-6)
