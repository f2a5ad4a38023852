"""Names with line breaks, control and direction-changing characters, formulas and tags.

Source of the characters: Unicode Standard Annex #9 (the marks, embeddings, overrides and isolates
that change direction) and categories Cc and Cf. Source of the first letters that a spreadsheet
takes for a formula: OWASP, *CSV Injection* (from memory).
"""

from __future__ import annotations

import csv
import html.parser
import io
import unicodedata
from pathlib import Path

import pytest
from tests.cli.terminal import Terminal
from tests.scenes import builders as b

BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c"

NAMES = {
    "line break": "cup\nPC999 error: all is well.png",
    "carriage return": "cup\rok.png",
    "escape sequence": "cup\x1b[2J\x1b]0;title\x07.png",
    "backspace": "cup\x08\x08\x08.png",
    "C1 control": "cup\x9b31m.png",
    "right to left": "cup\u202egnp.exe.png",
    "isolates": "cup\u2066a\u2069\u2067b.png",
    "zero width": "cup\u200b\ufeff.png",
    "line separator": "cup\u2028next\u2029.png",
    "tag": "<script>alert(1)</script>.png",
    "quote and tag": "\"'><img src=x onerror=alert(1)>.png",
    "formula": "=HYPERLINK(1).png",
    "formula behind a tab": "\t=1+1.png",
    "formula of a minus": "-1+cmd.png",
    "formula of an at sign": "@SUM(1).png",
    "markup of the terminal library": "[bold red]cup[/].png",
}


@pytest.fixture
def terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Terminal:
    monkeypatch.delenv("OCIO", raising=False)
    return Terminal(capsys)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """A scene whose materials, pictures that are there, and missing ones have all the names."""
    names = list(NAMES.values())
    images = [{"uri": name} for name in (*names, *(f"gone{name}" for name in names))]
    materials = [
        {"name": names[n % len(names)], "emissiveTexture": {"index": n}} for n in range(len(images))
    ]
    folder = tmp_path / "tea"
    folder.mkdir()
    for name in names:
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b.png())
    return b.write_gltf(folder / "s.gltf", b.gltf(images, materials))


def harmless(text: str) -> bool:
    """Whether a terminal shows every character and changes nothing by it."""
    return all(c == "\n" or (unicodedata.category(c)[0] != "C" and c not in BIDI) for c in text)


@pytest.mark.parametrize("verb", ["survey", "gate", "plan", "why"])
def test_on_the_terminal(scene: Path, tmp_path: Path, terminal: Terminal, verb: str) -> None:
    """Nothing that moves the cursor, changes direction, or makes a line of its own."""
    commands: list[list[str | Path]] = [[verb, scene]]
    if verb == "plan":
        commands = [[verb, scene, "--out", tmp_path / "p.json"]]
    if verb == "why":
        commands = [[verb, scene.parent / name] for name in list(NAMES.values())[:4]]
    for command in commands:
        outcome = terminal(*command)
        assert outcome.code in (0, 1), outcome.err
        assert harmless(outcome.out)
        assert harmless(outcome.err)
        assert "\nPC999" not in outcome.out
        assert "\u2028" not in outcome.out


class Page(html.parser.HTMLParser):
    """Every tag and text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[tuple[str, str | None]]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, attrs))


@pytest.mark.parametrize("verb", ["report", "sheet"])
def test_on_a_page(scene: Path, tmp_path: Path, terminal: Terminal, verb: str) -> None:
    """No tag and no handler comes of a name; no character of it changes direction."""
    page = tmp_path / "page.html"
    assert terminal(verb, scene, "--out", page).code in (0, 1)
    text = page.read_text(encoding="utf-8")
    found = Page()
    found.feed(text)
    assert found.tags
    assert not [a for _, attributes in found.tags for a, _ in attributes if a.startswith("on")]
    assert not [t for t, attributes in found.tags if t == "img" and ("src", "x") in attributes]
    assert "alert(1)</script>" not in text
    assert not set(BIDI) & set(text)


def test_in_a_table(scene: Path, tmp_path: Path, terminal: Terminal) -> None:
    """No cell begins as a formula does; the table has the rows that it should have."""
    out = tmp_path / "page.csv"
    assert terminal("sheet", scene, "--out", out).code in (0, 1)
    rows = list(csv.reader(io.StringIO(out.read_text(encoding="utf-8"), newline="")))
    assert len({len(row) for row in rows}) == 1
    cells = [cell for row in rows for cell in row if cell]
    numbers = [c for c in cells if c.replace("-", "").replace(".", "").replace(" ", "").isdigit()]
    assert not [c for c in cells if c[0] in "=+-@\t\r" and c not in numbers]
