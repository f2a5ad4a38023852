"""What a newcomer types first is there: the command itself, and what the pages give for it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import venv

import pytest
from tests.docs.pages import DOCS, FIRST_RUNS, ROOT, TUTORIAL, text_of

FIRST_PAGES = (ROOT / "README.md", TUTORIAL, *FIRST_RUNS, DOCS / "how-to" / "README.md")
ACTIVATE = ". .venv/bin/activate"


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
        ["make", "--dry-run", "demo"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert ran.stdout.rstrip().splitlines()[-1].endswith(f"'{ACTIVATE}'")
