"""Every document, field, key, code and variable is told of in the reference."""

from __future__ import annotations

import ast
import importlib
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.docs.pages import DOCS, ROOT, SPAN, text_of

from primecoat import limits
from primecoat.findings.catalogue import CATALOGUE
from primecoat.house.read import POLICY_KEYS, TOP_KEYS

SOURCE = ROOT / "src"
REFERENCE = DOCS / "reference"
SCHEMAS = sorted((REFERENCE / "schemas").glob("*.json"))
IN_EVERY_DOCUMENT = {"document", "primecoat", "libraries"}
OWN_SECTION = {"primecoat.journal-line/1": "journal", "primecoat.toml": "primecoat.toml"}

PATH_VARIABLES = ("config/faults/undeclared_variable.py", "name")
"""Where variables are looked up whose names stand in a config's own paths."""


def sections(page: Path) -> dict[str, str]:
    """Return what stands under each second heading of a page."""
    parts = re.split(r"^## +", text_of(page), flags=re.MULTILINE)[1:]
    return {head.strip(): body for head, _, body in (part.partition("\n") for part in parts)}


def words_in(text: str) -> set[str]:
    """Return the names that stand as code in a text: ``a.b[]`` holds ``a`` and ``b``."""
    spans = SPAN.findall(text)
    return {*spans, *(word for span in spans for word in re.findall(r"[\w-]+", span))}


def fields(schema: Any) -> Iterator[str]:
    """Yield the names of all fields of a schema, at any depth."""
    if isinstance(schema, list):
        for part in schema:
            yield from fields(part)
    elif isinstance(schema, dict):
        named = schema.get("properties")
        yield from named if isinstance(named, dict) else ()
        for part in schema.values():
            yield from fields(part)


@pytest.mark.parametrize("path", SCHEMAS, ids=lambda path: path.stem)
def test_every_document_and_field_is_told_of(path):
    schema = json.loads(text_of(path))
    kind, own = schema["title"], sections(REFERENCE / "formats.md")
    told = [b for head, b in own.items() if kind in b or OWN_SECTION.get(kind) == head]
    assert told, f"{kind} has no section in formats.md"
    top = set(schema["properties"]) - IN_EVERY_DOCUMENT
    assert not top - words_in("".join(told))
    everywhere = words_in(text_of(REFERENCE / "formats.md"))
    assert not set(fields(schema)) - everywhere - IN_EVERY_DOCUMENT


def test_every_key_of_house_conventions_is_told_of():
    keys = {*TOP_KEYS, *POLICY_KEYS}
    assert not keys - words_in(sections(REFERENCE / "formats.md")["primecoat.toml"])
    guide = text_of(DOCS / "how-to" / "keep-house-conventions.md")
    assert not [key for key in keys if not re.search(rf"[`\[]{key}[`\]]|^{key} = ", guide, re.M)]


def test_the_list_of_findings_is_the_catalogue():
    rows = re.findall(
        r"^\| \[(PC\d+)\]\((PC\d+)\.md\) \| `(\w+)` \| (\w+) \| (\S+) \|$",
        text_of(REFERENCE / "findings" / "README.md"),
        re.MULTILINE,
    )
    assert rows == [
        (entry.code, entry.code, entry.name, entry.severity, entry.since)
        for entry in CATALOGUE.values()
    ]


def test_every_environment_variable_is_told_of():
    told = words_in(text_of(REFERENCE / "environment.md"))
    read = set(variables(SOURCE))
    assert read >= {"OCIO", "PRIMECOAT_HOUSE", "PRIMECOAT_APART", limits.PIXELS.variable}
    of_tests = {name for folder in ("tests", "tools") for name in literal_reads(ROOT / folder)}
    of_tests = {name for name in of_tests if name.startswith("PRIMECOAT_")}
    assert not (read | of_tests) - told
    ours = {word for word in told if word.startswith("PRIMECOAT_")}
    assert ours == {name for name in read | of_tests if name.startswith("PRIMECOAT_")}


def variables(folder: Path) -> Iterator[str]:
    """Yield the name of each variable that the package reads."""
    for path, key in reads(folder):
        if isinstance(key, ast.Constant):
            yield str(key.value)
        elif isinstance(key, ast.Attribute) and path.name == "limits.py":
            yield from (v.variable for v in vars(limits).values() if isinstance(v, limits.Limit))
        elif path.as_posix().endswith(PATH_VARIABLES[0]) and ast.unparse(key) == PATH_VARIABLES[1]:
            continue
        else:
            module = ".".join(path.relative_to(SOURCE).with_suffix("").parts)
            yield getattr(importlib.import_module(module), ast.unparse(key))


def literal_reads(folder: Path) -> Iterator[str]:
    """Yield the names of variables that are written out, or in a constant of the same file."""
    for path, key in reads(folder):
        constants = dict(re.findall(r'^([A-Z_]+) = "(\w+)"$', text_of(path), re.MULTILINE))
        if isinstance(key, ast.Constant):
            yield str(key.value)
        elif isinstance(key, ast.Name) and key.id in constants:
            yield constants[key.id]


def reads(folder: Path) -> Iterator[tuple[Path, ast.expr]]:
    """Yield each expression that names a variable to ``os.environ`` or ``os.getenv``."""
    for path in sorted(folder.rglob("*.py")):
        text = text_of(path)
        if "environ" not in text and "getenv" not in text:
            continue
        for node in ast.walk(ast.parse(text)):
            match node:
                case ast.Call(func=ast.Attribute(value=value, attr=attr), args=[key, *_]) if (
                    ast.unparse(value) == "os.environ" and attr in ("get", "pop", "setdefault")
                ) or (ast.unparse(value), attr) == ("os", "getenv"):
                    yield path, key
                case ast.Subscript(value=value, slice=key) if ast.unparse(value) == "os.environ":
                    yield path, key
                case ast.Compare(left=key, comparators=[value]) if (
                    ast.unparse(value) == "os.environ"
                ):
                    yield path, key
