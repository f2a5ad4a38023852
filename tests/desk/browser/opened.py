"""A desk in a process of its own, and Chromium to look at it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest
from playwright.sync_api import APIResponse, Browser, Page, Playwright, Route


def chromium(playwright: Playwright) -> Browser:
    """Return the system's Chromium; without one the test is skipped, and fails in CI."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        words = "Chromium is not installed on this machine"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    return playwright.chromium.launch(executable_path=found)


PATIENCE = 60_000
"""Milliseconds until something that does not come counts as missing; the machine may be busy."""


@contextmanager
def desk(target: Path, *options: str) -> Iterator[str]:
    """Open a desk and give its address; it is closed at the end."""
    command = [sys.executable, "-m", "primecoat", "desk", str(target), "--no-open", "--json"]
    process = subprocess.Popen([*command, *options], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        said = ""
        for line in process.stdout:
            said += line
            if line.rstrip() == "}":
                break
        yield json.loads(said)["address"]
    finally:
        process.terminate()
        process.wait(120)  # on a busy machine even an end takes its time
        process.stdout.close()


_TURNS = count()


class Complaints(list[str]):
    """What the browser complains of while a page is open: errors, refusals of the policy."""

    def watch(self, page: Page, *, refusals: bool = True) -> Page:
        """Note every error of a page from now on, answers that refuse among them if wanted."""

        def note(kind: str, words: str, from_where: str = "") -> None:
            # a desk that was closed refuses the connection; that is no fault of the page
            if "Failed to load resource" in words and not refusals:
                return
            if kind in ("error", "warning") and "ERR_CONNECTION_REFUSED" not in words:
                self.append(f"{page.url}: {words}{from_where}")

        page.on("pageerror", lambda error: note("error", str(error)))
        page.on("console", lambda said: note(said.type, said.text, f" ({said.location['url']})"))
        return page


@contextmanager
def late(
    page: Page, pattern: str, method: str = "GET", most: int = 99
) -> Iterator[list[APIResponse]]:
    """Hold answers back until the block ends: what is asked is done at once, and told late.

    The list holds the answers that have come so far; :func:`came` waits for the first.
    """
    answers: list[APIResponse] = []
    waiting: list[Route] = []

    def hold(route: Route) -> None:
        if route.request.method != method or len(waiting) == most:
            route.fallback()
            return
        waiting.append(route)
        answers.append(route.fetch(timeout=0))

    page.route(pattern, hold)
    yield answers
    came(page, answers, len(waiting))
    most = len(waiting)
    for route, answer in zip(waiting, answers, strict=True):
        route.fulfill(response=answer)
        route.request.response()
    page.unroute(pattern, hold)


def came(page: Page, answers: Sequence[object], count: int = 1) -> None:
    """Wait until as many answers are held back."""
    for _ in range(PATIENCE // 20):
        if len(answers) >= count:
            return
        page.wait_for_timeout(20)
    raise AssertionError("nothing was asked")


def elsewhere(page: Page, path: str, **body: object) -> None:
    """Do something as another window would."""
    page.evaluate(
        """([path, body]) => fetch(new URL(path, document.baseURI), {
             method: "POST", headers: {"Content-Type": "application/json", "X-Primecoat": "1"},
             body: JSON.stringify(body),
           }).then((answer) => { if (!answer.ok) throw new Error(answer.status); })""",
        [path, body],
    )


def opened(page: Page, address: str, sheet: str) -> None:
    """Load the page anew on a sheet and wait until it lies there."""
    page.goto(f"{address}?{next(_TURNS)}#/{sheet}")
    page.wait_for_selector("#bench h1", state="attached")
