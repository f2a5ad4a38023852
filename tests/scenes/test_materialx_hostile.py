"""MaterialX documents that want more opened than they may: nothing outside is, and it is told."""

from __future__ import annotations

import builtins
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from primecoat.scenes.formats import materialx
from primecoat.scenes.materialx_file import MOST_INCLUDES

SECRET = '<materialx version="1.39"><constant name="secret" type="color3"/></materialx>'


def document(*hrefs: str, body: str = "") -> str:
    includes = "".join(f'<xi:include href="{href}"/>' for href in hrefs)
    return f'<materialx version="1.39">{includes}{body}</materialx>'


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    folder = tmp_path / "scene"
    folder.mkdir()
    (tmp_path / "secret.mtlx").write_text(SECRET, encoding="utf-8")
    return folder


def problems(folder: Path, *hrefs: str) -> list[str]:
    path = folder / "s.mtlx"
    path.write_text(document(*hrefs), encoding="utf-8")
    return [p.message for p in materialx.read(path, "s.mtlx").problems]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every path that Python opens."""
    seen: list[str] = []
    real = io.open

    def spy(file, *more, **named):
        seen.append(os.fspath(file) if not isinstance(file, int) else "")
        return real(file, *more, **named)

    monkeypatch.setattr(io, "open", spy)
    monkeypatch.setattr(builtins, "open", spy)
    return seen


@pytest.mark.parametrize(
    ("href", "words"),
    [
        ("../secret.mtlx", "outside"),
        ("sub/../../secret.mtlx", "outside"),
        ("..\\secret.mtlx", "outside"),
        ("link.mtlx", "outside"),
        ("/etc/hostname", "outside"),
        ("s.mtlx", "includes itself"),
        ("./x/../s.mtlx", "includes itself"),
        ("a.mtlx", "includes itself"),
        ("nobody.mtlx", "no such file"),
        ("", "no local file"),
        ("https://example.org/x.mtlx", "no local file"),
        ("file:///etc/hostname", "no local file"),
        ("folder.mtlx", "no such file"),
        ("x" * 5000, "cannot be found"),
    ],
)
def test_includes_that_are_not_followed(scene: Path, opened: list[str], href: str, words: str):
    """Each is told with its cause; nothing outside the folder is opened, and the scene is read."""
    (scene / "link.mtlx").symlink_to(scene.parent / "secret.mtlx")
    (scene / "folder.mtlx").mkdir()
    (scene / "a.mtlx").write_text(document("b.mtlx"), encoding="utf-8")
    (scene / "b.mtlx").write_text(document("a.mtlx"), encoding="utf-8")
    (message,) = problems(scene, href)
    assert words in message
    assert {Path(p).resolve().parent for p in opened if p} <= {scene.resolve()}


def test_include_that_cannot_be_read_is_told(scene: Path):
    """An included file with a document type, or none of ours, is passed over and told."""
    (scene / "evil.mtlx").write_text(f"<!DOCTYPE x []>{SECRET}", encoding="utf-8")
    (scene / "other.mtlx").write_text("<svg/>", encoding="utf-8")
    evil, other = problems(scene, "evil.mtlx", "other.mtlx")
    assert "document type" in evil
    assert "no MaterialX" in other


def test_includes_that_multiply_are_cut_off(scene: Path):
    """Files that each include the next twice come to an end."""
    for n in range(30):
        (scene / f"l{n}.mtlx").write_text(
            document(f"l{n + 1}.mtlx", f"l{n + 1}.mtlx"), encoding="utf-8"
        )
    (scene / "l30.mtlx").write_text(SECRET, encoding="utf-8")
    assert any(str(MOST_INCLUDES) in message for message in problems(scene, "l0.mtlx"))


def test_a_chain_of_includes_comes_to_an_end(scene: Path):
    """A chain longer than any real one does not exhaust the stack."""
    for n in range(900):
        (scene / f"c{n}.mtlx").write_text(document(f"c{n + 1}.mtlx"), encoding="utf-8")
    (message,) = problems(scene, "c0.mtlx")
    assert "in a row" in message


def test_a_chain_of_nodes_is_followed_to_its_end(tmp_path: Path):
    """20,000 nodes in a row neither exhaust the stack nor take long."""
    nodes = "".join(
        f'<multiply name="m{n}" type="color3"><input name="in1" type="color3" '
        f'nodename="m{n + 1}"/></multiply>'
        for n in range(20_000)
    )
    body = (
        f'{nodes}<image name="m20000" type="color3"><input name="file" type="filename" '
        'value="a.png"/></image><standard_surface name="s" type="surfaceshader">'
        '<input name="base_color" type="color3" nodename="m0"/></standard_surface>'
    )
    (tmp_path / "s.mtlx").write_text(document(body=body), encoding="utf-8")
    (use,) = materialx.read(tmp_path / "s.mtlx", "s.mtlx").uses
    assert use.slot == "base_color"


def test_a_bomb_takes_no_memory(tmp_path: Path):
    """Entities are refused before one is expanded: a process of 400 MB suffices."""
    laughs = "".join(f'<!ENTITY l{n + 1} "{f"&l{n};" * 10}">' for n in range(12))
    text = f'<!DOCTYPE x [<!ENTITY l0 "ha">{laughs}]><materialx a="&l12;"/>'
    (tmp_path / "s.mtlx").write_text(text, encoding="utf-8")
    code = (
        "import sys\nfrom pathlib import Path\nfrom primecoat.errors import InputError\n"
        "from primecoat.scenes.formats import materialx\n"
        "try:\n    materialx.read(Path(sys.argv[1]), 's.mtlx')\n"
        "except InputError as error:\n    print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "s.mtlx")],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert "document type" in done.stdout
