"""Every verb, option and function is told of, and every one that the pages show is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.docs.pages import (
    DOCS,
    GUIDES,
    ROOT,
    SPAN,
    Example,
    all_pages,
    check_example,
    examples,
    options,
    prose,
    text_of,
    verbs,
)

import primecoat

CLI_PAGE = DOCS / "reference" / "cli.md"
PAGES = all_pages()
OF_TOOLS = {
    "docs/reference/evaluation.md": {"--folder"},
    "docs/reference/safety.md": {"--seed"},
}
"""Options in sentences that are not the program's but a tool's."""


def name_of(page: Path) -> str:
    return page.relative_to(ROOT).as_posix()


def section(verb: str) -> str:
    """Return what the page of the command line says of a verb."""
    _, _, after = text_of(CLI_PAGE).partition(f"\n## `primecoat {verb}`\n")
    return after.partition("\n## ")[0]


@pytest.mark.parametrize("verb", verbs())
def test_every_option_is_in_the_reference(verb):
    """Also one that the help hides."""
    told = section(verb)
    assert not {name for name in options(verbs()[verb]) if not is_named(name, told)}


def test_every_verb_is_shown_at_work():
    """Not in the reference alone: a guide types it."""
    typed = [example.words for page in GUIDES for example in examples(page) if example.whole]
    assert not [verb for verb in verbs() if not is_named(f"primecoat {verb}", "\n".join(typed))]


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_examples_are_understood(page):
    for example in examples(page):
        check_example(example)


def test_examples_are_found():
    """A count that would fall if the pages' form or the search for examples changed."""
    assert sum(1 for page in PAGES for example in examples(page) if example.whole) > 180


@pytest.mark.parametrize(
    "words", ["repaint tea", "config mend tea.ocio", "survey tea --shiny", "plan tea --route"]
)
def test_examples_of_what_there_is_not_are_refused(words):
    for whole in (True, False):
        with pytest.raises(Exception, match=r"repaint|mend|shiny|requires an argument"):
            check_example(Example(CLI_PAGE, f"primecoat {words}", whole=whole))


@pytest.mark.parametrize("words", ["survey", "survey tea bowl", "survey tea --workers many"])
def test_whole_examples_must_fit(words):
    check_example(Example(CLI_PAGE, f"primecoat {words}", whole=False))
    with pytest.raises(Exception, match=r"Missing|unexpected|valid integer"):
        check_example(Example(CLI_PAGE, f"primecoat {words}", whole=True))


def test_options_in_sentences_are_there():
    known = {"--help", "--version", "--"}.union(*map(options, verbs().values()))
    strange = [
        (name_of(page), words)
        for page in PAGES
        for words in SPAN.findall(prose(page))
        if words.startswith("--")
        and re.split("[ =]", words)[0] not in known | OF_TOOLS.get(name_of(page), set())
    ]
    assert not strange


def test_functions_in_pages_are_there():
    named = {
        name for page in PAGES for name in re.findall(r"\bprimecoat\.([a-z_]+)\(", text_of(page))
    }
    assert named >= {"survey", "plan"}
    assert not {name for name in named if not callable(getattr(primecoat, name, None))}


def is_named(words: str, text: str) -> bool:
    return re.search(rf"{re.escape(words)}(?![\w-])", text) is not None
