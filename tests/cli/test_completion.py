"""Shell completion: the scripts that are given out, run by real shells where installed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import primecoat

SHELLS = ("bash", "zsh", "fish")
SYNTAX = {"bash": ["bash", "-n"], "zsh": ["zsh", "-n"], "fish": ["fish", "--no-execute"]}


@pytest.fixture(scope="module")
def environment(tmp_path_factory) -> dict[str, str]:
    """An environment in which ``primecoat`` is a command, as an installer makes it."""
    folder = tmp_path_factory.mktemp("bin")
    command = folder / "primecoat"
    command.write_text(
        f"#!{sys.executable}\nimport sys\nfrom primecoat.cli.main import run\nsys.exit(run())\n"
    )
    command.chmod(0o755)
    return {
        **os.environ,
        "PATH": f"{folder}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(Path(primecoat.__file__).parents[1]),
        "_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1",  # shells are named, not guessed
    }


def out_of(command: list[str], environment: dict[str, str], **more: str) -> str:
    done = subprocess.run(
        command, env={**environment, **more}, capture_output=True, text=True, timeout=60, check=True
    )
    return done.stdout


@pytest.fixture(scope="module")
def scripts(environment) -> dict[str, str]:
    return {
        shell: out_of(["primecoat", "--show-completion", shell], environment) for shell in SHELLS
    }


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")
def test_bash_completes_verbs_and_options(environment, scripts):
    """The function that bash calls, called as bash calls it."""
    ask = (
        f"{scripts['bash']}\n"
        'tried() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=();'
        ' _primecoat_completion primecoat; printf "%s " "${COMPREPLY[@]}"; echo; }\n'
        "complete -p primecoat\ntried primecoat surv\ntried primecoat gate --jun\n"
        "tried primecoat config ch\n"
    )
    registered, *offered = out_of(["bash", "-c", ask], environment).splitlines()
    assert "_primecoat_completion" in registered
    assert [line.split() for line in offered] == [["survey"], ["--junit"], ["check"]]


@pytest.mark.parametrize(
    ("shell", "asked"),
    [
        ("zsh", {"_TYPER_COMPLETE_ARGS": "primecoat surv"}),
        (
            "fish",
            {"_TYPER_COMPLETE_ARGS": "primecoat surv", "_TYPER_COMPLETE_FISH_ACTION": "get-args"},
        ),
    ],
)
def test_what_the_scripts_of_other_shells_ask_is_answered(shell, asked, environment):
    """Zsh and fish show the help of a verb beside it."""
    answer = out_of(["primecoat"], environment, _PRIMECOAT_COMPLETE=f"complete_{shell}", **asked)
    assert "survey" in answer
    assert "Say how every image" in answer
    assert "swatch" not in answer


@pytest.mark.parametrize("shell", SHELLS)
def test_scripts_are_for_the_shell_and_our_command(shell, scripts, tmp_path, environment):
    script = scripts[shell]
    assert f"complete_{shell}" in script
    assert "_PRIMECOAT_COMPLETE" in script
    if shutil.which(shell) is None:
        return  # its text was looked at; there is no such shell here to read it
    path = tmp_path / "script"
    path.write_text(script, encoding="utf-8")
    out_of([*SYNTAX[shell], str(path)], environment)
