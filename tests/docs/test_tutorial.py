"""What the tutorial, the first runs and the how-to pages show is what the program does.

Each fenced ``console`` block is a session: ``$ command``, then its output. ``...`` stands for
anything, spacing does not count, and a command ends with 0 unless ``$ echo $?`` follows and shows
another code. A fenced block whose info string names a file (``csv tea/shop.csv``) is put there.
"""

from __future__ import annotations

import contextlib
import doctest
import io
import json
import os
import re
import shlex
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.docs.pages import FIRST_RUNS, GUIDES, HOW_TOS, TUTORIAL
from tests.once import once_a_run

from primecoat.cli.main import run

BLOCK = re.compile(r"^```(?P<kind>\w+) *(?P<file>\S*)\n(?P<body>.*?)^```", re.MULTILINE | re.DOTALL)
PROMPT = "$ "
EXIT_CODE = "echo $?"
LINKED = re.compile(r"\[(reflink|hard link|copy)\]")
OWN_FOLDER = ".primecoat"

Program = Callable[[str], tuple[int, str]]
"""Runs a command line; gives its exit code and all that it prints."""

LOOSELY = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE


@pytest.fixture(scope="session")
def pottery(written_faulted):
    """The demo scene as it was written."""
    return written_faulted


@pytest.fixture
def workplace(tmp_path, monkeypatch):
    """An empty folder to work in, and no setting that changes what is printed."""
    monkeypatch.chdir(tmp_path)
    for name in ("OCIO", "FORCE_COLOR", "TTY_COMPATIBLE", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


def sessions(body: str) -> Iterator[tuple[str, str]]:
    """Yield each command of a console block with the output shown for it."""
    for part in re.split(rf"^{re.escape(PROMPT)}", body, flags=re.MULTILINE)[1:]:
        command, _, shown = part.partition("\n")
        yield command, shown


@pytest.fixture
def program(tmp_path_factory):
    """Return what runs a command line and gives its exit code and all that it prints.

    Several pages begin with the demo: each way to ask for it is run once, and its files are copied.
    """

    def demo(words: list[str]) -> tuple[int, str]:
        def make(place: Path) -> None:
            place.mkdir()
            with contextlib.chdir(place):
                said = json.dumps(run_aloud(words))
            (place / "said.json").write_text(said, encoding="utf-8")

        made = once_a_run(tmp_path_factory, "-".join(words), make)
        shutil.copytree(made / words[1], words[1])
        code, printed = json.loads((made / "said.json").read_text(encoding="utf-8"))
        return code, printed

    def primecoat(command: str) -> tuple[int, str]:
        name, *words = shlex.split(command)
        assert name == "primecoat", f"a page may only show primecoat, not: {command}"
        return demo(words) if words[0] == "demo" else run_aloud(words)

    return primecoat


def run_aloud(arguments: list[str]) -> tuple[int, str]:
    """Run a command line in this process; return its exit code and all that it prints."""
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
        code = run(arguments)
    return code, printed.getvalue().replace(os.sep, "/")


def check_page(page: Path, program: Program) -> int:
    """Run all sessions of a page in the current folder; return how many commands ran."""
    count = 0
    for block in BLOCK.finditer(page.read_text(encoding="utf-8")):
        if block["file"]:
            Path(block["file"]).write_text(block["body"], encoding="utf-8", newline="\n")
        if block["kind"] != "console":
            continue
        count += check_block(block["body"], program)
    return count


def check_block(body: str, program: Program) -> int:
    """Run the commands of one block; return how many ran."""
    steps = list(sessions(body))
    asked = [command == EXIT_CODE for command, _ in steps]
    for at, (command, shown) in enumerate(steps):
        if asked[at]:
            continue
        code, printed = program(command)
        expected = int(steps[at + 1][1]) if at + 1 < len(steps) and asked[at + 1] else 0
        assert code == expected, f"{command} ended with {code}:\n{printed}"
        same = doctest.OutputChecker().check_output(
            LINKED.sub("[link]", shown), LINKED.sub("[link]", printed), LOOSELY
        )
        assert same, f"{command} does not print\n{shown}\nbut\n{printed}"
    return len(steps) - sum(asked)


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file of a scene's folder, but for the state folder."""
    files = (path for path in folder.rglob("*") if path.is_file())
    names = {path.relative_to(folder): path for path in files}
    return {
        name.as_posix(): path.read_bytes()
        for name, path in names.items()
        if OWN_FOLDER not in name.parts
    }


def test_tutorial_shows_what_happens_and_ends_where_it_began(workplace, pottery, program):
    assert check_page(TUTORIAL, program) > 10
    assert contents(workplace / "tea") == contents(pottery)


@pytest.mark.parametrize("page", FIRST_RUNS, ids=lambda page: page.stem)
def test_first_run_goes_as_the_page_says(page, workplace, program):
    assert check_page(page, program) > 10


@pytest.mark.parametrize("page", HOW_TOS, ids=lambda page: page.stem)
def test_how_to_shows_what_happens(page, workplace, measured_faulted, program):
    shutil.copytree(measured_faulted, workplace / "tea")
    check_page(page, program)


def test_every_block_says_what_it_is():
    for page in GUIDES:
        fences = re.findall(r"^```(.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
        assert all(fences[::2]), f"{page.name} has a block without a kind"


def test_session_with_another_output_or_exit_code_is_refused(workplace, program):
    ask = "$ primecoat survey nowhere\n"
    check_block(f"{ask}primecoat: There is no file or folder ...\n$ echo $?\n2\n", program)
    with pytest.raises(AssertionError, match="does not print"):
        check_block(f"{ask}All is well.\n$ echo $?\n2\n", program)
    with pytest.raises(AssertionError, match="ended with 2"):
        check_block(f"{ask}...\n", program)
