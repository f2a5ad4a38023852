"""The pages of the documentation, and what they show."""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from textwrap import dedent
from typing import Any

import typer

from primecoat.cli.main import app

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
TUTORIAL = DOCS / "tutorial.md"
FIRST_RUNS = sorted((DOCS / "first-runs").glob("*.md"))
HOW_TOS = sorted((DOCS / "how-to").glob("*.md"))
GUIDES = (TUTORIAL, *FIRST_RUNS, *HOW_TOS)
"""Pages that lead through some work."""

FENCED = re.compile(r"^ *(```|~~~)(?P<kind>[^\n`]*)\n(?P<body>.*?)^ *\1", re.MULTILINE | re.DOTALL)
SPAN = re.compile(r"`([^`\n]+)`")
INDENTED = re.compile(r"(?<=\n\n)(?: {4}.*\n)+")
PROGRAM = "primecoat "
NOT_OURS = re.compile(r"\.(?!ci$).*|__pycache__|build|dist|demo-scene|node_modules")


@dataclass(frozen=True, slots=True)
class Example:
    """A command line that a page shows.

    Parameters
    ----------
    page, words
        Where it stands, and what is typed, the program's name included.
    whole
        Whether it can be typed as it stands; a command named in a sentence may leave out what
        it works on.
    """

    page: Path
    words: str
    whole: bool


def project_files() -> Iterator[Path]:
    """Yield every file of the project."""
    for folder, folders, names in os.walk(ROOT):
        folders[:] = [name for name in folders if not NOT_OURS.fullmatch(name)]
        yield from (Path(folder, name) for name in names)


def all_pages() -> list[Path]:
    """Return the pages in every folder of the project."""
    return sorted(path for path in project_files() if path.suffix == ".md")


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def prose(page: Path) -> str:
    """Return a page without its fenced blocks."""
    return FENCED.sub("", text_of(page))


def examples(page: Path) -> Iterator[Example]:
    """Yield the command lines of a page, those in blocks first."""
    text = prose(page)
    blocks = [(block["kind"], block["body"]) for block in FENCED.finditer(text_of(page))]
    blocks += [("", dedent(body)) for body in INDENTED.findall(text)]
    for kind, body in blocks:
        prompt = "$ " if kind.startswith("console") else ""
        for line in body.splitlines():
            if line.startswith(prompt + PROGRAM):
                yield Example(page, line.removeprefix(prompt).split(" > ")[0], whole=True)
    for words in SPAN.findall(text):
        if words.startswith(PROGRAM):
            yield Example(page, words, whole=False)


def check_example(example: Example) -> None:
    """Have the program's own parser read an example; nothing is run.

    Raises
    ------
    Exception
        Of the parser, if there is no such verb or option, or, of a whole example, if a value does
        not fit or something is missing.
    """
    command, (_, *words) = program(), shlex.split(example.words)
    while hasattr(command, "commands") and words and not words[0].startswith("-"):
        command = command.commands[words.pop(0)]
    if example.whole:
        command.make_context(command.name, list(words))
    else:
        context = typer.Context(command, info_name=command.name)
        command.make_parser(context).parse_args(list(words))


@cache
def program() -> Any:
    """Return the program's parser."""
    return typer.main.get_command(app)


def verbs() -> dict[str, Any]:
    """Return each command by the words that call it, without the program's name."""
    return dict(_walk("", program()))


def options(command: Any) -> set[str]:
    """Return the names of a command's options, those that turn one off among them."""
    return {
        name
        for part in command.params
        for name in (*part.opts, *part.secondary_opts)
        if name.startswith("-")
    }


def _walk(name: str, command: Any) -> Iterator[tuple[str, Any]]:
    if not hasattr(command, "commands"):
        yield name.strip(), command
    for word, part in getattr(command, "commands", {}).items():
        yield from _walk(f"{name} {word}", part)
