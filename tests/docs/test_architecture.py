"""The page on architecture names every folder of the package, and nothing that is not there."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from tests.docs.pages import DOCS, ROOT, SPAN, text_of
from tests.docs.test_formats import sections

PACKAGE = ROOT / "src" / "primecoat"
SECTIONS = sections(DOCS / "architecture.md")
OTHERS = {"primecoat.toml", "src/primecoat/"}
"""What is named there and lies not in the package."""


def folder_of(line: str, before: Path) -> Path:
    """Return the folder that a line is about: the one it begins with, else that of the last."""
    begins = re.match(r"`([a-z_/]+)/`", line)
    return PACKAGE / begins[1] if begins and (PACKAGE / begins[1]).is_dir() else before


def named() -> Iterator[tuple[Path, str]]:
    """Yield each file, folder or module that the page names, with the folder it is told of in."""
    folder = PACKAGE
    for line in SECTIONS["The folders"].splitlines():
        folder = folder_of(line, folder)
        for span in SPAN.findall(line):
            if re.fullmatch(r"[a-z_/]+(\.[a-z]+|/)?", span) and span not in OTHERS:
                yield folder, span


def test_every_folder_is_named():
    told = {place for folder, span in named() for place in (folder / span, PACKAGE / span)}
    told |= {place.parent for place in told}
    packages = {path.parent for path in PACKAGE.rglob("__init__.py")}
    assert len(packages) > 30
    assert not [path.relative_to(PACKAGE).as_posix() for path in packages - told]


def test_all_that_is_named_is_there():
    found = list(named())
    assert len(found) > 100
    strange = [
        (folder.name, span)
        for folder, span in found
        if not is_below(folder, span) and not (PACKAGE / span).exists()
    ]
    assert not strange


def is_below(folder: Path, name: str) -> bool:
    """Whether a file, a folder, or a module named without its ending lies somewhere below."""
    last = name.rstrip("/")
    if "." in last or name.endswith("/"):
        return any(folder.rglob(last))
    return any(folder.rglob(f"{last}.py")) or any(p.is_dir() for p in folder.rglob(last))


def test_the_import_order_is_the_one_that_is_held():
    settings = tomllib.loads(text_of(ROOT / "pyproject.toml"))["tool"]["importlinter"]
    layers = next(c["layers"] for c in settings["contracts"] if c["type"] == "layers")
    held = [set(re.findall(r"\((\w+)\)", layer)) for layer in reversed(layers)]
    order = next(line for line in SECTIONS["The import order"].splitlines() if " · " in line)
    assert [set(SPAN.findall(part)) for part in order.split(" · ")] == held
    there = {p.stem for p in PACKAGE.iterdir() if p.suffix == ".py" or (p / "__init__.py").exists()}
    assert set().union(*held) == there - {"__init__", "__main__"}
