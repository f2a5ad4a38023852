"""What a newcomer types first is there: the command itself, and what the pages give for it."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
import venv
from pathlib import Path

import pytest
import yaml
from tests.docs.pages import DOCS, FENCED, FIRST_RUNS, ROOT, TUTORIAL, all_pages, text_of
from tests.scenes import builders

from primecoat.cli.main import run

FIRST_PAGES = (ROOT / "README.md", TUTORIAL, *FIRST_RUNS, DOCS / "how-to" / "README.md")
ACTIVATE = ". .venv/bin/activate"
GATE_PAGE = DOCS / "how-to" / "gate-in-ci.md"
NEEDS_GIT = pytest.mark.skipif(shutil.which("git") is None, reason="needs git")


def block(page: Path, holding: str) -> str:
    """Return the one fenced block of a page that holds some words."""
    [body] = [b["body"] for b in FENCED.finditer(text_of(page)) if holding in b["body"]]
    return body


@pytest.fixture
def shot(tmp_path, monkeypatch):
    """A repository with a scene two folders down that a run has primed beside the old one."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "shots" / "010"
    folder.mkdir(parents=True)
    (folder / "cup.png").write_bytes(builders.png())
    builders.write_gltf(folder / "cup.gltf", builders.gltf([{"uri": "cup.png"}]))
    scene = "shots/010/cup.gltf"
    assert run(["decide", scene, "cup.png", "srgb_rec709_scene"]) == 0
    assert run(["plan", scene, "--out", "plan.json"]) == 0
    assert run(["apply", "plan.json"]) == 0
    return folder


@pytest.mark.parametrize("page", FIRST_PAGES, ids=lambda page: page.stem)
def test_page_says_how_to_have_the_command_before_it_shows_it(page):
    before = re.split(r"^\$ primecoat |`primecoat demo", text_of(page), flags=re.MULTILINE)[0]
    for words in (ACTIVATE, r".venv\Scripts\activate", ".venv/bin/primecoat"):
        assert before.count(f"`{words}`") == 1


@pytest.mark.skipif(os.name == "nt", reason="a line for a POSIX shell")
def test_the_line_that_activates_finds_the_command(tmp_path):
    """Against an environment made by Python's own venv, and a real shell."""
    venv.create(tmp_path / ".venv", with_pip=False)
    command = tmp_path / ".venv" / "bin" / "primecoat"
    command.write_text(f"#!{sys.executable}\n", encoding="utf-8")
    command.chmod(0o755)
    said = f"{ACTIVATE} && command -v primecoat"
    found = subprocess.run(
        ["sh", "-c", said], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert found.stdout.strip() == str(command)


@pytest.mark.skipif(shutil.which("make") is None, reason="needs make")
def test_make_demo_ends_with_how_to_type_the_command():
    """What make itself would run last."""
    ran = subprocess.run(
        ["make", "--no-print-directory", "--dry-run", "demo"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert ran.stdout.rstrip().splitlines()[-1].endswith(f"'{ACTIVATE}'")


@pytest.mark.skipif(shutil.which("make") is None, reason="needs make")
def test_what_make_starts_keeps_its_bytecode():
    """Else each of the many processes of a test run compiles all sources anew."""
    probe = f"probe: ; @'{sys.executable}' -c 'import sys; print(sys.dont_write_bytecode)'"
    ran = subprocess.run(
        ["make", "--no-print-directory", "--eval", probe, "probe"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert ran.stdout == "False\n"


@NEEDS_GIT
def test_ignored_is_what_can_be_made_again_and_nothing_else(shot, tmp_path):
    """Against git itself; the scene lies two folders below the lines."""
    state = shot / ".primecoat"
    for made_by_other_verbs in ("baked/ab/picture.exr", "proofs/ab-cd.npz", "lock"):
        (state / made_by_other_verbs).parent.mkdir(exist_ok=True, parents=True)
        (state / made_by_other_verbs).touch()
    (tmp_path / ".gitignore").write_text(block(GATE_PAGE, "measures*"), encoding="utf-8")
    subprocess.run(["git", "init", "--quiet", "."], cwd=tmp_path, check=True)
    files = [p.relative_to(tmp_path).as_posix() for p in shot.rglob("*") if p.is_file()]
    asked = subprocess.run(
        ["git", "check-ignore", *files], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    ignored = {line.removeprefix("shots/010/.primecoat/") for line in asked.stdout.splitlines()}
    assert {re.sub(r"measures.*", "measures", name) for name in ignored} == {
        "measures", "baked/ab/picture.exr", "proofs/ab-cd.npz", "lock"
    }  # fmt: skip
    kept = {Path(name).name for name in files} - {Path(name).name for name in ignored}
    assert kept >= {"decisions.json", "journal.jsonl", "cup.gltf", "cup.primed.gltf"}


def test_the_hook_of_the_page_passes_a_primed_scene_whose_original_is_committed_too(shot, tmp_path):
    """By the rule of pre-commit.com: a hook gets the files in which ``files`` is found."""
    hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    [hook] = [hook for hook in hooks if hook["id"] == "primecoat-gate"]
    [repo] = yaml.safe_load(block(GATE_PAGE, "repos:"))["repos"]
    [ours] = repo["hooks"]
    committed = [p.relative_to(tmp_path).as_posix() for p in shot.iterdir() if p.is_file()]
    given = {
        pattern: sorted(name for name in committed if re.search(pattern, name))
        for pattern in (hook["files"], ours["files"])
    }
    assert given[hook["files"]] == ["shots/010/cup.gltf", "shots/010/cup.primed.gltf"]
    assert given[ours["files"]] == ["shots/010/cup.primed.gltf"]
    _, *words = hook["entry"].split()
    assert run([*words, *ours["args"], *given[hook["files"]]]) == 1
    assert run([*words, *ours["args"], *given[ours["files"]]]) == 0


@pytest.mark.parametrize("name", ["a.primed.gltf", "s/a.primed.USDA", "a b.primed.mtlx"])
def test_the_pattern_of_the_page_takes_scenes_only(name):
    [repo] = yaml.safe_load(block(GATE_PAGE, "repos:"))["repos"]
    pattern = repo["hooks"][0]["files"]
    assert re.search(pattern, name)
    assert not re.search(pattern, Path(name).with_suffix(".png").as_posix())


@pytest.mark.parametrize(
    "page", [p for p in all_pages() if "pip install" in text_of(p)], ids=lambda page: page.stem
)
def test_no_page_takes_primecoat_from_an_index_or_an_extra_that_is_not_there(page):
    """Nothing but a clone has it; its extras are those of pyproject.toml."""
    assert not re.search(r"pip install ([^`\n]*[ '])?primecoat\b", text_of(page))
    with (ROOT / "pyproject.toml").open("rb") as file:
        extras = tomllib.load(file)["project"]["optional-dependencies"]
    assert set(re.findall(r"'\.\[(\w+)\]'", text_of(page))) <= set(extras)


def test_a_missing_part_is_named_with_what_installs_it():
    """The very line that the Python that runs can take."""
    code = "import sys; sys.modules['embreex.mesh_construction'] = None\n" + (
        "import numpy as np\n"
        "from primecoat.errors import UseError\n"
        "from primecoat.proof.paths.rays import Triangles\n"
        "try: Triangles(np.zeros((3, 3)), np.zeros((1, 3), np.int32))\n"
        "except UseError as error: print(error)\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert f"{shlex.quote(sys.executable)} -m pip install '.[proof]'" in said.stdout
