"""The line that a person sees while long work goes on."""

from __future__ import annotations

import json
import os
import pty
import re
import threading
from pathlib import Path

from tests.apply import kiln

SIZE, COUNT = 1024, 4


def seen_on_a_terminal(*words: str | Path) -> tuple[int, str, str]:
    """Run with a terminal as stderr; return exit code, stdout, and what the terminal showed."""
    ours, theirs = pty.openpty()
    shown: list[bytes] = []

    def listen() -> None:
        while True:
            try:
                data = os.read(ours, 65536)
            except OSError:  # the other end is closed
                return
            if not data:
                return
            shown.append(data)

    child = kiln.primecoat(*words, stderr=theirs, env=terminal_environment())
    os.close(theirs)
    listener = threading.Thread(target=listen)
    listener.start()
    out, _ = child.communicate(timeout=120)
    listener.join(timeout=20)
    os.close(ours)
    return child.returncode, out, b"".join(shown).decode()


def terminal_environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(kiln.ROOT / "src"), "TERM": "xterm", "COLUMNS": "120"}


def test_count_rate_and_time_left(tmp_path: Path) -> None:
    """How many of how many, pictures and megabytes a second, time left; stdout stays a document."""
    _, file = kiln.planned(kiln.tableware(tmp_path / "tea", COUNT, SIZE))
    code, out, shown = seen_on_a_terminal("apply", file, "--json", "--workers", "1")
    assert code == 0, shown
    assert len(json.loads(out)["bakes"]) == COUNT
    plain = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", shown)
    line = re.compile(r"baking .*?(\d)/4 +(\d+\.\d)/s, (\d+\.\d) MB/s +(\d:\d\d:\d\d|-:--:--)")
    found = line.findall(plain)
    assert found, plain
    assert {int(count) for count, *_ in found} <= set(range(1, COUNT + 1))
    bytes_in_all = sum(path.stat().st_size for path in (tmp_path / "tea").glob("dish?.png"))
    _, rate, megabytes, _ = found[-1]
    expected = float(rate) * bytes_in_all / COUNT / 1e6
    assert abs(float(megabytes) - expected) <= 0.05 * bytes_in_all / COUNT / 1e6 + 0.1


def test_nobody_watches(tmp_path: Path) -> None:
    """Into a file or a pipe nothing of it is written."""
    _, file = kiln.planned(kiln.tableware(tmp_path / "tea", 2))
    child = kiln.primecoat("apply", file)
    _, said = child.communicate(timeout=60)
    assert (child.returncode, said) == (0, "")
