"""A proof is read back only while nothing that it is made from changed; the match is a cause."""

from __future__ import annotations

import io
import json
import os
import shutil
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.scenes import builders as b

from primecoat import jobs, workflow
from primecoat.cli.main import run
from primecoat.errors import PrimecoatError
from primecoat.proof.paths import picture
from primecoat.proof.paths.certainty import Figure
from primecoat.proof.paths.kept import MOST_FILES
from primecoat.proof.paths.outcome import Proof
from primecoat.proof.paths.proof import source_of
from primecoat.proof.paths.scenario import explicit, today
from primecoat.report.proof_document import proof_document
from primecoat.workflow.proof import kept_proof

SIZE = (16, 9)
CUP = b.colour_pixels(3, "uint8")
OTHER_CONFIG = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"
UNTOUCHED = "Un-tone-mapped"


def proved(scene: Path, *, config: str | None = None, **asked: Any) -> Proof:
    survey = workflow.survey(scene, config=config)
    return workflow.proof(survey, **{"size": SIZE, "samples": 8, "workers": 1, **asked})


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a scene of two materials, one picture in each, and a proof of it."""
    folder = tmp_path_factory.mktemp("kept") / "tea"
    folder.mkdir()
    for name, pixels in (("cup", CUP), ("tray", CUP[:, ::-1])):
        (folder / f"{name}.png").write_bytes(b.png_of(pixels))
    materials = [
        {"name": name, "pbrMetallicRoughness": {"baseColorTexture": {"index": at}, **factor}}
        for at, (name, factor) in enumerate(
            (("glaze", {"baseColorFactor": [0.9, 0.3, 0.2, 1.0]}), ("oak", {}))
        )
    ]
    images = [{"uri": f"{name}.png"} for name in ("cup", "tray")]
    b.write_gltf(folder / "tea.gltf", b.gltf(images, materials))
    assert not proved(folder / "tea.gltf").kept
    return folder


@pytest.fixture
def scene(kept: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(kept, tmp_path / "tea")) / "tea.gltf"


def other_bytes(scene: Path) -> None:
    text = scene.read_text(encoding="utf-8")
    assert text.count("0.3") == 1
    scene.write_text(text.replace("0.3", "0.4"), encoding="utf-8")


def other_picture(scene: Path) -> None:
    (scene.parent / "cup.png").write_bytes(b.png_of(CUP[::-1]))


def other_decision(scene: Path) -> None:
    workflow.decide(workflow.survey(scene), "cup.png", "srgb_p3d65_scene")


def test_same_is_read_back_whole(scene: Path):
    read = proved(scene)
    assert read.kept
    fresh = proved(scene, anew=True)
    assert not fresh.kept
    documents = [proof_document(one) for one in (read, fresh)]
    for one in documents:
        del one["kept"], one["seconds"]
    assert documents[0] == documents[1]
    assert np.array_equal(read.old.batches, fresh.old.batches)
    assert np.array_equal(read.new.batches, fresh.new.batches)
    assert read.causes is not None
    assert fresh.causes is not None
    for cause, again in zip(read.causes.causes, fresh.causes.causes, strict=True):
        assert np.array_equal(cause.map_last, again.map_last)


@pytest.mark.parametrize("change", [other_bytes, other_picture, other_decision])
def test_another_state_is_traced_anew(scene: Path, change: Any):
    survey = workflow.survey(scene)
    found = kept_proof(survey)
    assert found is not None
    assert (found.kept, found.size) == (True, (9, 16))
    change(scene)
    assert kept_proof(workflow.survey(scene)) is None
    assert not proved(scene).kept
    assert proved(scene).kept


@pytest.mark.parametrize(
    "asked",
    [
        {"size": (18, 9)},
        {"samples": 16},
        {"causes": 1},
        {"view": UNTOUCHED},
        {"old_view": UNTOUCHED},
        {"config": OTHER_CONFIG},
    ],
)
def test_other_options_are_traced_anew(scene: Path, asked: dict[str, Any]):
    assert not proved(scene, **asked).kept
    assert proved(scene, **asked).kept
    assert proved(scene).kept


def test_what_cannot_be_used_is_traced_anew_and_room_is_made(scene: Path):
    folder = scene.parent / ".primecoat" / "proofs"
    (file,) = folder.iterdir()
    whole = file.read_bytes()
    for broken in (b"", whole[: len(whole) // 2], whole.replace(b"facts", b"facts"[::-1])):
        file.write_bytes(broken)
        assert not proved(scene).kept
    assert proved(scene).kept
    for number in range(MOST_FILES + 2):
        (folder / f"older-{number}.npz").write_bytes(b"x")
    proved(scene, anew=True)
    left = sorted(folder.iterdir())
    assert len(left) == MOST_FILES
    assert file in left


@pytest.mark.skipif(os.name == "nt", reason="written for systems with links and pipes")
def test_a_kept_proof_from_elsewhere_costs_nothing(scene: Path):
    """Whoever gives a scene away can name a proof as ours would be named, and put in anything."""
    folder = scene.parent / ".primecoat" / "proofs"
    (file,) = folder.iterdir()
    whole = file.read_bytes()
    with np.load(io.BytesIO(whole)) as held:
        arrays = {name: held[name] for name in held.files}
    facts = json.loads(bytes(arrays["facts"]))
    claims = b"\x93NUMPY\x01\x00v\x00" + b"{'descr': '<f4', 'fortran_order': False, 'shape': "
    hostile = [
        packed(**{**arrays, "facts": text(changed)})
        for changed in (
            b"[" * 100_000,
            json.dumps(facts | {"noise": float("nan")}).encode(),
            json.dumps(facts | {"exposure": 10**400}).encode(),
            json.dumps(facts | {"words": "\ud800"}).encode(),
            json.dumps(facts | {"size": [2**40, 2**40]}).encode(),
            json.dumps(facts | {"causes": [7]}).encode(),
        )
    ]
    hostile.append(whole[:200] + bytes(byte ^ 255 for byte in whole[200:260]) + whole[260:])
    large = io.BytesIO()
    with zipfile.ZipFile(large, "w") as archive:
        archive.writestr("facts.npy", claims + b"(281474976710656,), }".ljust(67) + b"\n")
    hostile.append(large.getvalue())
    for data in hostile:
        file.write_bytes(data)
        assert kept_proof(workflow.survey(scene)) is None
    file.unlink()
    file.symlink_to(scene)
    assert kept_proof(workflow.survey(scene)) is None
    file.unlink()
    os.mkfifo(file)
    assert kept_proof(workflow.survey(scene)) is None
    assert not proved(scene).kept, "it is traced anew then"


def text(data: bytes) -> Any:
    return np.frombuffer(data, np.uint8)


def packed(**arrays: Any) -> bytes:
    stream = io.BytesIO()
    np.savez_compressed(stream, **arrays)
    return stream.getvalue()


def test_workers_change_nothing(scene: Path, monkeypatch: pytest.MonkeyPatch):
    """The same seed gives the same picture in one process and in two."""
    monkeypatch.setattr(picture, "_WORTH_A_POOL", 0)
    survey = workflow.survey(scene)
    source = source_of(survey)
    stages = [source.stage(today()), source.stage(explicit(survey))]
    size = (65, 64)  # more paths than are followed at once, so that batches are parted
    one, two = (
        picture.render_all(stages, size, samples=8, workplace=jobs.Workplace(n), by_turns=n > 1)
        for n in (1, 2)
    )
    for alone, shared in zip(one, two, strict=True):
        assert np.array_equal(alone.batches, shared.batches)


@pytest.mark.parametrize(
    ("value", "within", "nearer"),
    [
        *((0.2, 0.1, "ap1"), (-0.2, 0.1, "rec709"), (0.2, 0.3, "no difference here")),
        *((0.04, 0.01, "no difference here"), (-0.04, 0.01, "no difference here")),
    ],
)
def test_the_nearer_is_the_one_that_is_less_far(
    kept: Path, value: float, within: float, nearer: str
):
    found = kept_proof(workflow.survey(kept / "tea.gltf"))
    assert found is not None
    rec709, ap1 = (found.from_spectral[basis].value for basis in ("rec709", "ap1"))
    assert abs(rec709 - ap1) > 0.05  # so that a turned sign shows
    assert found.farther.value == pytest.approx(rec709 - ap1, abs=1e-5)
    assert replace(found, farther=Figure(value=value, within=within)).nearer == nearer


def match_file(folder: Path, **changed: Any) -> str:
    """Write a match of half a stop down (S-2016-001: a stop is 1 / 17.52 in ACEScct)."""
    cdl = {"slope": [1, 1, 1], "offset": [-0.5 / 17.52] * 3, "power": [1, 1, 1], "saturation": 1}
    document = {"document": "primecoat.match/1", "acts_on": "ACEScct", "cdl": cdl, **changed}
    (folder / "match.json").write_text(json.dumps(document), encoding="utf-8")
    return str(folder / "match.json")


def test_match_is_a_cause_by_itself(scene: Path, tmp_path: Path):
    found = proved(scene, match=match_file(tmp_path))
    assert not found.kept
    assert found.causes is not None
    (cause,) = (one for one in found.causes.causes if one.kind == "match")
    assert cause.shown
    # half a stop is the same change of the picture as half of the light (the view comes after)
    plain = proved(scene)
    look = plain.look("ap1")
    half = look.sight.codes(look.numbers(plain.new) * np.float32(2**-0.5), "ap1")
    graded = found.look("ap1").codes(found.new)
    bright = look.numbers(plain.new).min(axis=-1) > 0.02  # above it ACEScct is logarithmic
    assert bright.mean() > 0.5
    assert np.abs(graded - half)[bright].max() < 2e-3
    assert not proved(scene, match=match_file(tmp_path, cdl=plain_cdl(0.5))).kept


def plain_cdl(saturation: float) -> dict[str, Any]:
    return {"slope": [1] * 3, "offset": [0] * 3, "power": [1] * 3, "saturation": saturation}


@pytest.mark.parametrize(
    "changed",
    [
        {"document": "primecoat.compare/1"},
        {"acts_on": "lin_ap1_scene"},
        {"cdl": {}},
        {"cdl": {**plain_cdl(1), "slope": [1, 1]}},
        {"cdl": {**plain_cdl(1), "power": [1, 1, float("nan")]}},
        {"cdl": {**plain_cdl(1), "slope": [1, -1, 1]}},
    ],
)
def test_what_is_no_match_is_refused(scene: Path, tmp_path: Path, changed: dict[str, Any]):
    with pytest.raises(PrimecoatError, match="holds no match"):
        proved(scene, match=match_file(tmp_path, **changed))
    with pytest.raises(PrimecoatError, match="Cannot read"):
        proved(scene, match=str(tmp_path / "none.json"))


def test_report_shows_the_proof_of_this_state_only(scene: Path):
    survey = workflow.survey(scene)
    found = kept_proof(survey)
    assert found is not None
    assert found.causes is not None
    page = workflow.report(survey, proved=found)
    shown = sum(one.shown for one in found.causes.causes)
    assert page.count("<img ") == page.count('src="data:image/png;base64,') == 3 + 2 * shown
    assert 'id="proof"' in page
    assert f"{found.change.value:.3f} ± {found.change.within:.3f}" in page
    out = scene.parent / "report.html"
    assert run(["report", str(scene), "--out", str(out)]) in (0, 1)
    assert out.read_text(encoding="utf-8") == page
    beside = scene.parent / "report.json"
    assert run(["report", str(scene), "--out", str(beside)]) in (0, 1)
    document = json.loads(beside.read_text(encoding="utf-8"))
    assert document["document"] == "primecoat.report/1"
    assert document["proof"] == proof_document(found)
    other_picture(scene)
    assert run(["report", str(scene), "--out", str(out)]) in (0, 1)
    assert 'id="proof"' not in out.read_text(encoding="utf-8")
