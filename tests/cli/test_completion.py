"""Shell completion: the scripts that are given out, run by real shells where installed."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.cli.ready import ready_command
from tests.cli.zsh import Zsh

SHELLS = ("bash", "zsh", "fish")
SYNTAX = {"bash": ["bash", "-n"], "zsh": ["zsh", "-n"], "fish": ["fish", "--no-execute"]}

ONE_VALUE = {
    "primecoat plan tea --route d": ["declare"],
    "primecoat survey tea --without slot,pi": ["slot,pixels"],
    "primecoat decide tea bowl.png srgb_rec709_s": ["srgb_rec709_scene"],
    "primecoat desk tea --old-corrections-in lin_ciexyzd65_s": ["lin_ciexyzd65_scene"],
    "primecoat match a b --up-to e": ["exposure"],
}
VALUES = {**ONE_VALUE, "primecoat handover a --as srgb-": ["srgb-png", "srgb-jpeg", "srgb-tiff"]}
"""What is typed, and the values that fit it."""

TRIED_IN_BASH = """
tried() {
    COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=()
    _primecoat_completion primecoat; printf "%s " "${COMPREPLY[@]}"; echo
}
"""
"""The function that bash calls, called as bash calls it."""


@pytest.fixture(scope="module")
def environment(tmp_path_factory) -> Iterator[dict[str, str]]:
    """An environment in which ``primecoat`` is a command."""
    with ready_command(tmp_path_factory.mktemp("bin")) as command:
        yield {
            **os.environ,
            "PATH": f"{command.parent}{os.pathsep}{os.environ['PATH']}",
            "_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1",  # shells are named, not guessed
        }


def out_of(command: list[str], environment: dict[str, str], folder: Path | None = None) -> str:
    done = subprocess.run(
        command,
        env=environment,
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return done.stdout


@pytest.fixture(scope="module")
def scripts(environment) -> dict[str, str]:
    return {
        shell: out_of(["primecoat", "--show-completion", shell], environment) for shell in SHELLS
    }


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")
def test_bash_completes_verbs_and_options(environment, scripts):
    ask = (
        f"{scripts['bash']}\n"
        f"{TRIED_IN_BASH}"
        "complete -p primecoat\ntried primecoat surv\ntried primecoat gate --jun\n"
        "tried primecoat config ch\n"
    )
    registered, *offered = out_of(["bash", "-c", ask], environment).splitlines()
    assert "_primecoat_completion" in registered
    assert [line.split() for line in offered] == [["survey"], ["--junit"], ["check"]]


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")
def test_bash_completes_values(environment, scripts):
    ask = f"{scripts['bash']}\n{TRIED_IN_BASH}" + "".join(
        f"tried {line}\n" for line in (*VALUES, "primecoat plan tea --config tea")
    )
    *offered, files = out_of(["bash", "-c", ask], environment).splitlines()
    assert [line.split() for line in offered] == list(VALUES.values())
    assert not files.split()  # what fits no word is left to the shell, which offers files


@pytest.mark.skipif(shutil.which("zsh") is None, reason="zsh is not installed")
def test_zsh_completes_what_is_typed(environment, scripts, tmp_path):
    """An interactive zsh in a terminal of its own, with Tab pressed behind what is typed."""
    typed = {
        "primecoat surv": "primecoat survey ",
        "primecoat config ch": "primecoat config check ",
        "primecoat gate --jun": "primecoat gate --junit ",
        "primecoat plan tea --rou": "primecoat plan tea --route ",  # (brackets) in its help
        "primecoat survey tea --hou": "primecoat survey tea --house ",  # 'quotes' there
        "primecoat survey tea --clu": "primecoat survey tea --cluster ",  # a colon too
        **{line: f"{line.rsplit(' ', 1)[0]} {words[0]} " for line, words in ONE_VALUE.items()},
        "primecoat plan shelf": "primecoat plan shelf.gltf ",
        "primecoat plan shelf.gltf --config kil": "primecoat plan shelf.gltf --config kiln.ocio ",
    }
    script = tmp_path / "_primecoat"
    script.write_text(scripts["zsh"], encoding="utf-8")
    for name in ("shelf.gltf", "kiln.ocio"):
        (tmp_path / name).touch()
    with Zsh(script, environment) as zsh:
        zsh.after_tab("primecoat ")  # the first Tab in a terminal loads the script, no more
        assert {line: zsh.after_tab(line) for line in typed} == typed


@pytest.mark.skipif(shutil.which("fish") is None, reason="fish is not installed")
def test_fish_completes_what_is_typed(environment, scripts, tmp_path):
    """What fish itself says that it would offer."""
    (tmp_path / "shelf.gltf").touch()
    lines = ("primecoat surv", "primecoat gate --jun", *VALUES, "primecoat plan shelf")
    asked = "".join(f"complete -C '{line}'; echo ==\n" for line in lines)
    installed = tmp_path / "fish" / "completions" / "primecoat.fish"
    installed.parent.mkdir(parents=True)
    installed.write_text(scripts["fish"], encoding="utf-8")
    own = {**environment, "HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)}
    said = out_of(["fish", "-c", asked], own, folder=tmp_path)
    offered = [
        sorted(line.split("\t")[0] for line in part.splitlines() if line)
        for part in said.split("==\n")[:-1]
    ]
    values = map(sorted, VALUES.values())
    assert offered == [["survey"], ["--junit"], *values, ["shelf.gltf"]]


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
