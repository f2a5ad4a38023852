"""Scene readers of other packages: the worked example, really installed, and faulty ones."""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat.cli.main import run
from primecoat.errors import InputError, RefusedError
from primecoat.scenes.added import GROUP, added_endings
from primecoat.scenes.model import Edit
from primecoat.scenes.registry import FORMATS, SUFFIXES, read_scene

EXAMPLE = Path(__file__).parents[2] / "examples" / "primecoat-shelf"
SHELF = """\
shelf 1
# what stands on the middle shelf
piece celadon cup
  body    textures/cup_color.png
  gloss   textures/cup_roughness.png  as data
  tint    0.42 0.55 0.48              as lin_rec709_scene
lamp window
  glow    1.0 0.9 0.8
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The example as pip installs it, without a network."""
    folder = tmp_path_factory.mktemp("site")
    subprocess.run(
        [
            *(sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index"),
            *("--no-build-isolation", "--disable-pip-version-check", "--no-compile"),
            *("--root-user-action", "ignore", "--target", str(folder), str(EXAMPLE)),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return folder


@pytest.fixture
def found(monkeypatch):
    """Put folders of packages on the path, as if they had been installed there."""

    def put(*folders: Path) -> None:
        for folder in folders:
            monkeypatch.syspath_prepend(str(folder))
        importlib.invalidate_caches()
        added_endings.cache_clear()
        FORMATS.loaded.clear()

    yield put
    monkeypatch.undo()
    importlib.invalidate_caches()
    added_endings.cache_clear()
    FORMATS.loaded.clear()


def package(folder: Path, ending: str, code: str, name: str = "kiln") -> Path:
    """Write a package with a reader and the metadata that an installer writes."""
    site = folder / f"site_{name}"
    info = site / f"primecoat_{name}-1.2.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: primecoat-{name}\nVersion: 1.2\n")
    (info / "entry_points.txt").write_text(f"[{GROUP}]\n{ending} = {name}_reader\n")
    (site / f"{name}_reader.py").write_text(code)
    return site


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    textures = tmp_path / "shop" / "textures"
    textures.mkdir(parents=True)
    for name in ("cup_color.png", "cup_roughness.png"):
        (textures / name).write_bytes(b.png(3, "uint8"))
    path = tmp_path / "shop" / "middle.shelf"
    path.write_text(SHELF, encoding="utf-8", newline="\n")
    return path


def test_without_the_package_it_is_no_scene(shelf: Path, found, capsys):
    found()
    assert run(["survey", str(shelf)]) == 2
    assert "is no scene that primecoat reads" in capsys.readouterr().err


def test_the_example_reads_plans_applies_and_passes(shelf: Path, installed: Path, found, capsys):
    """From survey to an open gate and back, byte for byte, with a reader that is not ours."""
    found(installed)
    assert SUFFIXES[".shelf"] == ".shelf"
    run(["survey", str(shelf), "--json"])
    document = json.loads(capsys.readouterr().out)
    uses = {u["slot"]: u for image in document["images"] for u in image["uses"]}
    assert uses["base_color"]["owner"] == "celadon cup"
    assert uses["roughness"]["reads_as"]["why"] == "the scene declares it (shelf list)"
    assert [c["location"] for c in document["colours"]] == ["middle.shelf#line 6"]
    assert [light["slot"] for light in document["lights"]] == ["light_color"]
    assert run(["gate", str(shelf)]) == 1
    run(["plan", str(shelf), "--route", "declare", "--with-likely", "--from", "lin_rec709_scene"])
    assert run(["apply", "plan.json"]) == 0
    primed = shelf.with_name("middle.primed.shelf")
    assert primed.read_text("utf-8") == SHELF.replace(
        "cup_color.png", "cup_color.png as srgb_rec709_scene"
    ).replace("0.9 0.8", "0.9 0.8 as lin_rec709_scene")
    capsys.readouterr()
    assert run(["gate", str(primed)]) == 0, capsys.readouterr().out
    assert run(["undo", "plan.json"]) == 0
    assert not primed.exists()
    run(["--version"])
    assert "primecoat-shelf 0.1.0" in capsys.readouterr().out


def test_the_example_tags_and_refuses_what_changed(shelf: Path, installed: Path, found):
    found(installed)
    run(["plan", str(shelf), "--route", "tag", "--with-likely", "--from", "lin_rec709_scene"])
    assert run(["apply", "plan.json"]) == 0
    text = shelf.with_name("middle.primed.shelf").read_text("utf-8")
    assert "textures/cup_color_srgb_rec709_scene.png\n" in text
    assert "textures/cup_roughness_data.png  as data" in text
    edit = Edit(place="line 4/value", before="other.png", after="x.png")
    with pytest.raises(RefusedError, match="Make a new plan"):
        FORMATS[".shelf"].changed(shelf, [edit], shelf)


def test_the_example_says_what_is_wrong(tmp_path: Path, installed: Path, found):
    found(installed)
    path = tmp_path / "bad.shelf"
    path.write_text("shelf 2\n")
    with pytest.raises(InputError, match="is no shelf list"):
        read_scene(path, "bad.shelf")
    path.write_text("shelf 1\npiece cup\n  handle x.png\n")
    [problem] = read_scene(path, "bad.shelf").problems
    assert "In line 3" in problem.message


FAULTY = {
    "not loaded": "raise RuntimeError('no kiln today')",
    "exits": "import sys; sys.exit(3)",
    "no read": "STANDARD = 'kiln book'",
    "raises": "def read(path, name, roots=()): return 1 / 0",
    "gives nothing": "def read(path, name, roots=()): return None",
    "wrong use": (
        "from primecoat.scenes.model import *\nfrom primecoat.location import Location\n"
        "def read(path, name, roots=()):\n"
        "    use = ImageUse(reference=7, owner='', slot='normal', channels='rgb',"
        " location=Location(name))\n"
        "    return Scene(path=path, name=name, format='kiln', uses=(use,))"
    ),
    "fails on claims": (
        "def claims(path): raise OSError('cold')\ndef read(path, name, roots=()): raise KeyError(1)"
    ),
}


@pytest.mark.parametrize("fault", FAULTY)
def test_a_faulty_reader_costs_one_finding(fault: str, tmp_path: Path, found, capsys):
    """The rest of the folder is surveyed; the finding names the package; alone it is one line."""
    found(package(tmp_path, "kiln", FAULTY[fault]))
    sys.modules.pop("kiln_reader", None)
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "cup_data.png").write_bytes(b.png(1, "uint8"))
    (shop / "monday.kiln").write_text("x")
    assert run(["survey", str(shop), "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    [told] = [f for f in document["findings"] if f["code"] == "PC406"]
    assert "primecoat-kiln 1.2" in told["message"]
    assert [image["path"] for image in document["images"]] == ["cup_data.png"]
    assert run(["survey", str(shop / "monday.kiln")]) == 2
    printed = capsys.readouterr()
    assert (printed.out, printed.err.count("\n")) == ("", 1)


def test_nothing_is_loaded_that_is_not_needed(tmp_path: Path, found):
    """A survey of our own formats does not load a reader, and none takes an ending of ours."""
    site = package(tmp_path, "gltf", "raise SystemExit('loaded')", name="thief")
    found(site, package(tmp_path, "kiln", "raise SystemExit('loaded')"))
    scene = b.write_gltf(tmp_path / "tea.gltf", b.gltf([]))
    assert read_scene(scene, "tea.gltf").format == "gltf"
    assert list(FORMATS) == ["gltf", "materialx", "sheet", "usd", ".kiln"]
    assert SUFFIXES[".gltf"] == "gltf"
    assert ".kiln" in list(SUFFIXES)


def test_two_packages_for_one_ending_are_refused(tmp_path: Path, found):
    code = "def read(path, name, roots=()): return 1"
    found(package(tmp_path, "kiln", code), package(tmp_path, "kiln", code, name="oven"))
    path = tmp_path / "a.kiln"
    path.write_text("x")
    with pytest.raises(InputError, match=r"primecoat-kiln 1.2 and primecoat-oven 1.2"):
        read_scene(path, "a.kiln")


def test_a_reader_that_only_reads_is_held_back_from_plans(tmp_path: Path, found, capsys):
    """STANDARD and read are enough for a survey; a plan says that the scene cannot be changed."""
    code = (
        "from primecoat.scenes.model import *\nfrom primecoat.location import Location\n"
        "STANDARD = 'kiln book'\n"
        "def read(path, name, roots=()):\n"
        "    at = Location(name, 'page 1')\n"
        "    reference = ImageReference(text='cup.png', location=at, written='cup.png')\n"
        "    use = ImageUse(reference=0, owner='', slot='normal', channels='rgb', location=at)\n"
        "    return Scene(path=path, name=name, format='', references=(reference,), uses=(use,))"
    )
    found(package(tmp_path, "kiln", code))
    sys.modules.pop("kiln_reader", None)
    (tmp_path / "cup.png").write_bytes(b.png_of(b.normal_pixels()))
    (tmp_path / "monday.kiln").write_text("x")
    out = tmp_path / "plan.json"
    run(["plan", str(tmp_path / "monday.kiln"), "--out", str(out)])
    told = json.loads(out.read_text("utf-8"))["findings"]
    assert [(f["code"], "has no function changed" in f["message"]) for f in told] == [
        ("PC410", True)
    ]


def test_damaged_metadata_of_others_is_passed_over(tmp_path: Path, found):
    site = package(tmp_path, "kiln", "")
    (site / "primecoat_kiln-1.2.dist-info" / "entry_points.txt").write_bytes(b"[a\nb\n\xff")
    found(site)
    assert ".kiln" not in SUFFIXES
