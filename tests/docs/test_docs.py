"""The documentation is whole and true, and no file tells of the machine it was made on."""

from __future__ import annotations

import re
import runpy
from pathlib import Path
from urllib.parse import unquote

import pytest
from tests.docs.pages import ROOT, all_pages, project_files, prose

from primecoat.findings.catalogue import CATALOGUE

FINDINGS = ROOT / "docs" / "reference" / "findings"
CLI_PAGE = ROOT / "docs" / "reference" / "cli.md"

MACHINE_PATH = re.compile(r"(?<![\w.~:-])/(home|root|work|tmp|Users|mnt)/\w|[A-Z]:\\+Users\\")

LINK = re.compile(r"\]\(<?([^)>\s]+)|\b(?:src|href)=\"([^\"]+)\"")
HEADING = re.compile(r"^#+ +(.+?) *$", re.MULTILINE)
OUTWARD = re.compile(r"[a-z]+:", re.IGNORECASE)  # https:, mailto:


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def anchors(page: Path) -> set[str]:
    """Return the anchors that Markdown readers make of a page's headings."""
    headings = HEADING.findall(prose(page))
    return {re.sub(r"[^\w\- ]", "", h.lower()).replace(" ", "-") for h in headings}


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_every_finding_has_a_page_that_names_it(code):
    page = (FINDINGS / f"{code}.md").read_text(encoding="utf-8")
    title = page.splitlines()[0]
    assert title.startswith("# ")
    assert code in title
    assert CATALOGUE[code].name in page


def test_every_finding_page_has_its_finding():
    assert {path.stem for path in FINDINGS.glob("PC*.md")} <= set(CATALOGUE)


def test_command_line_page_is_up_to_date_and_names_every_verb():
    from primecoat.cli.main import app

    tool = runpy.run_path(str(ROOT / "tools" / "write_cli_reference.py"))
    page = CLI_PAGE.read_text(encoding="utf-8")
    missing = [name for name, _ in tool["commands"](app) if f"## `{name}`\n" not in page]
    assert not missing
    assert page == tool["reference"](app), "Run: python tools/write_cli_reference.py"


@pytest.mark.parametrize("page", all_pages(), ids=name_of)
def test_relative_links_resolve(page):
    text = prose(page)
    broken = []
    for target in (a or b for a, b in LINK.findall(text)):
        if OUTWARD.match(target):
            continue
        path, _, anchor = unquote(target).partition("#")
        there = page.parent / path if path else page
        good = there.exists() and there.resolve().is_relative_to(ROOT)
        if good and anchor and there.suffix == ".md":
            good = anchor in anchors(there)
        if not good:
            broken.append(target)
    assert not broken


def test_no_file_holds_a_path_of_a_machine():
    found = []
    for path in project_files():
        data = path.read_bytes()
        if b"\0" in data:
            continue
        for number, line in enumerate(data.decode(errors="replace").splitlines(), 1):
            if MACHINE_PATH.search(line):
                found.append(f"{name_of(path)}:{number}: {line.strip()}")
    assert not found


def test_requirements_name_no_host():
    files = list((ROOT / "requirements").iterdir())
    assert files
    assert not [path.name for path in files if "://" in path.read_text(encoding="utf-8")]
