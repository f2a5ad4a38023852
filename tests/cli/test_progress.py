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


def test_a_demo_says_how_far_it_is(tmp_path: Path) -> None:
    """From the first picture on; it is stopped once that is seen."""
    ours, theirs = pty.openpty()
    child = kiln.primecoat("demo", tmp_path / "tea", stderr=theirs, env=terminal_environment())
    os.close(theirs)
    shown, seen = b"", None
    try:
        while seen is None:
            shown += os.read(ours, 65536)
            seen = re.search(rb"making pictures .*?[1-9]\d*/45 ", shown)
    finally:
        child.terminate()
        child.communicate(timeout=60)
        os.close(ours)


def test_a_report_says_what_it_does(tmp_path: Path) -> None:
    scene = kiln.tableware(tmp_path / "tea", 2)
    code, out, shown = seen_on_a_terminal("report", scene, "--out", tmp_path / "report.html")
    assert code in (0, 1), shown
    assert "writing the report" in shown
    assert "Written" in out


def test_nothing_is_told_where_nobody_watches(tmp_path: Path) -> None:
    scene = kiln.tableware(tmp_path / "tea", 2)
    child = kiln.primecoat("report", scene, "--out", tmp_path / "report.html", stderr=-1)
    _, err = child.communicate(timeout=60)
    assert err == ""
