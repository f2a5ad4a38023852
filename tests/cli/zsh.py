"""An interactive zsh in a terminal of its own, told what to complete."""

from __future__ import annotations

import os
import pty
import subprocess
import time
from pathlib import Path

PATIENCE = 60.0
"""Seconds that one answer may take on a busy machine."""

SET_UP = """
PS1='> '; setopt no_beep no_hist_save; unsetopt zle_bracketed_paste 2>/dev/null
fpath+=$PWD; autoload -Uz compinit; compinit -D -u
told() { print -r -- "[$BUFFER]" >>told; BUFFER= }
zle -N told; bindkey -e; bindkey '^X^X' told; bindkey '^I' complete-word
print ready >>told
"""


class Zsh:
    """A shell that finds a script ``_primecoat`` as an installed one, and works in its folder."""

    def __init__(self, script: Path, environment: dict[str, str]) -> None:
        self._told = script.with_name("told")
        self._terminal, inner = pty.openpty()
        (script.parent / ".zshrc").write_text(SET_UP, encoding="utf-8")
        self._process = subprocess.Popen(
            ["zsh", "-i"],
            stdin=inner, stdout=inner, stderr=inner, cwd=script.parent, start_new_session=True,
            env={**environment, "ZDOTDIR": str(script.parent), "TERM": "dumb"},
        )  # fmt: skip
        os.close(inner)

    def __enter__(self) -> Zsh:
        assert self._next(0) == "ready"
        return self

    def __exit__(self, *error: object) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._terminal)

    def after_tab(self, line: str) -> str:
        """Return what stands in the line after Tab was pressed."""
        known = len(self._lines())
        os.write(self._terminal, f"{line}\t\x18\x18".encode())
        return self._next(known)[1:-1]

    def _next(self, known: int) -> str:
        until = time.monotonic() + PATIENCE
        os.set_blocking(self._terminal, False)
        while len(lines := self._lines()) <= known:
            assert time.monotonic() < until, "zsh gave no answer"
            try:
                os.read(self._terminal, 65536)  # else the terminal fills up and the shell waits
            except BlockingIOError:
                time.sleep(0.02)
        return lines[known]

    def _lines(self) -> list[str]:
        if not self._told.exists():
            return []
        return self._told.read_text(encoding="utf-8").splitlines()
