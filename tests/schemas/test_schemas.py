"""Every document has a schema, and what the verbs really print and write fits it.

Documents that other tests ask for through ``Terminal`` are held against their schemas there.
"""

from __future__ import annotations

import copy
import re
import runpy
import tomllib
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from tests.schemas.checking import FOLDER, check_document, validator
from tests.schemas.documents import HOUSE, gather

ROOT = Path(__file__).parents[2]
KIND = re.compile(r'"primecoat\.([a-z_-]+)/(\d+)"')
SCHEMAS = sorted(path.stem for path in FOLDER.glob("*.json"))


@pytest.fixture(scope="module")
def worked(tmp_path_factory) -> tuple[Path, dict[str, list[Any]]]:
    """A folder in which all verbs worked, and documents of most kinds, as they made them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("OCIO", raising=False)
        patch.delenv("PRIMECOAT_HOUSE", raising=False)
        folder = tmp_path_factory.mktemp("documents")
        patch.chdir(folder)
        return folder, gather(folder)


@pytest.fixture(scope="module")
def documents(worked) -> dict[str, list[Any]]:
    _, made = worked
    return dict(made)


def test_schemas_are_up_to_date():
    """The files are what the tool writes from the code."""
    tool = runpy.run_path(str(ROOT / "tools" / "write_schemas.py"))
    written = tool["written"]()
    assert {path.name for path in FOLDER.iterdir()} == set(written)
    for name, text in written.items():
        path = FOLDER / name
        assert path.read_text(encoding="utf-8") == text, "Run: python tools/write_schemas.py"


def test_every_document_of_the_code_has_a_schema():
    """Each kind that the code names is published."""
    named = {
        f"{name}.{version}"
        for folder in ("src", "benchmarks")
        for path in (ROOT / folder).rglob("*.py")
        for name, version in KIND.findall(path.read_text(encoding="utf-8"))
    }
    published = {name for name in SCHEMAS if name not in ("journal-line.1", "primecoat.toml")}
    assert named == published


@pytest.mark.parametrize("name", SCHEMAS)
def test_schemas_are_schemas(name: str):
    Draft202012Validator.check_schema(validator(name).schema)


def test_documents_fit(documents):
    """Nearly all kinds are made here; the others by tests of their own verbs."""
    for kind, made in documents.items():
        for document in made:
            check_document(document, "journal-line.1" if kind == "journal line" else "")
    elsewhere = {"card.1", "desk.1", "proof.1", "truth.1"}
    kinds = {kind.removeprefix("primecoat.").replace("/", ".") for kind in documents}
    missing = set(SCHEMAS) - kinds - elsewhere - {"journal-line.1", "primecoat.toml"}
    assert not missing


def test_what_is_kept_is_told_of(worked):
    """The page on architecture lists all that lies in state folders."""
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    table = page.partition("## Where state lives\n")[2].partition("\n## ")[0]
    told = [row.split("/")[0] for row in re.findall(r"^\| `([^`]+)`", table, re.MULTILINE)]
    kept = {path.name for state in worked[0].rglob(".primecoat") for path in state.iterdir()}
    assert kept >= {"journal.jsonl", "plans", "handover"}
    assert not [name for name in kept if not any(fnmatchcase(name, form) for form in told)]


def test_documents_that_do_not_fit_are_refused(documents):
    """A missing field, another type, a word that is none: each is noticed."""
    survey = documents["primecoat.survey/1"][-1]
    for spoil in (
        lambda d: d.pop("to"),
        lambda d: d["images"][0].update(standing="certain"),
        lambda d: d["images"][0].update(confidence="high"),
        lambda d: d["images"][0]["evidence"][0].update(witness="rumour"),
        lambda d: d["findings"][0].update(code="PC000"),
        lambda d: d.update(more=1),
    ):
        other = copy.deepcopy(survey)
        spoil(other)
        with pytest.raises(AssertionError):
            check_document(other)


def test_house_conventions_fit_their_schema():
    """A file that the reader takes is valid, also with other names of spaces; a fault is not."""
    whole = HOUSE + 'route = "tag"\n[tokens]\ntexcol = "acescg"\n'
    check_document(tomllib.loads(whole), "primecoat.toml")
    for text in ("moon = 1", "roots = 1", '[slots]\n"*" = "normal"', '[tokens]\n"a b" = "data"'):
        assert not validator("primecoat.toml").is_valid(tomllib.loads(text))
