"""The desk's list in Chromium: first paint and frames while it is scrolled.

``python benchmarks/desk_page.py [--size small|full] [--json]``

The scene is a folder of 20,000 pictures (small: 2,000) that are one small file under many names;
the list is the same as for large pictures, for it shows what the survey holds.
The phases are told apart, and as they begin on stderr:

*write*: seconds to write the folder.
*open*: seconds from the command to its address: start, survey and all; not part of any paint.
*first_paint*: milliseconds from opening the page anew until the first rows are there, their names
and readings; median of five.
*scroll*: gaps between frames while the list is scrolled by 400 pixels a frame.
*bare*: the same gaps for a plain long box without rows, on this machine at this time, and
``scroll_frame_cost_ratio``, the 95th percentiles over one another.
*filter*: milliseconds of a request for the first 100 rows that words and a standing leave.
*decide*: seconds of the request that decides 5,000 pictures (small: 500) at once, the file written.
*desk_peak_memory*, *page_heap*: memory of the server and of the page, in megabytes.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import httpx
from _figures import seconds, show
from _many import write_many
from playwright.sync_api import sync_playwright

SIZES = {"small": 2_000, "full": 20_000}

SCROLL = """
async (seconds) => {
  const box = document.querySelector('.vlist');
  const gaps = [];
  const begin = performance.now();
  let last = begin;
  await new Promise((done) => {
    const step = (now) => {
      gaps.push(now - last);
      last = now;
      box.scrollTop = (box.scrollTop + 400) % (box.scrollHeight - box.clientHeight);
      if (now - begin < seconds * 1000) requestAnimationFrame(step); else done();
    };
    requestAnimationFrame(step);
  });
  return gaps.slice(2);
}
"""


BARE = """
() => {
  document.body.replaceChildren();
  const box = document.createElement("div");
  box.className = "vlist";
  box.style.cssText = "height:600px;overflow:auto";
  const rail = document.createElement("div");
  rail.style.height = "960000px";
  box.append(rail);
  document.body.append(box);
}
"""


def page_figures(address: str, *, during: float = 4.0) -> dict[str, float]:
    """Return the figures of the list of an open desk: milliseconds, megabytes."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"))
        page = browser.new_page(viewport={"width": 1280, "height": 720})
        page.goto(f"{address}#/pictures")
        page.wait_for_selector(".vrow .path")
        paints = []
        for _ in range(5):
            page.reload()
            page.wait_for_selector(".vrow .path")
            paints.append(
                page.evaluate(
                    "new Promise((d) => requestAnimationFrame(() => d(performance.now())))"
                )
            )
        gaps = sorted(page.evaluate(SCROLL, during))
        rows = page.evaluate("document.querySelectorAll('.vrow').length")
        heap = page.evaluate("performance.memory?.usedJSHeapSize ?? 0") / 1e6
        page.evaluate(BARE)
        bare = sorted(page.evaluate(SCROLL, during))
        browser.close()
    p95, bare_p95 = percentile(gaps), percentile(bare)
    return {
        "first_paint_ms": statistics.median(paints),
        "scroll_frame_p95_ms": p95,
        "bare_frame_p95_ms": bare_p95,
        "scroll_frame_cost_ratio": p95 / bare_p95,
        "scroll_frames": len(gaps),
        "row_elements": rows,
        "page_heap_mb": heap,
    }


def percentile(gaps: list[float]) -> float:
    """Return the 95th percentile of sorted numbers."""
    return gaps[int(0.95 * (len(gaps) - 1))]


def server_figures(address: str, count: int) -> dict[str, float]:
    """Return how long requests to an open desk take; the last one decides a quarter."""
    with httpx.Client(base_url=address, timeout=600) as client:

        def rows(**asked: str | int) -> dict[str, Any]:
            answer = client.get("api/images", params=asked)
            answer.raise_for_status()
            found: dict[str, Any] = answer.json()
            return found

        times = []
        for number in range(9):  # other words each time, so that nothing is kept
            start = time.perf_counter()
            rows(words=f"glaze 0{number}", standing="likely", count=100)
            times.append(time.perf_counter() - start)
        found = [rows(**{"from": begin, "count": 500}) for begin in range(0, count // 4, 500)]
        ids = [row["id"] for one in found for row in one["rows"]][: count // 4]
        word = {"version": found[0]["version"], "ids": ids, "reading": "srgb_rec709_scene"}
        start = time.perf_counter()
        answer = client.post("api/decide", json=word, headers={"X-Primecoat": "1"})
        took = time.perf_counter() - start
        if len(answer.json().get("decided", ())) != len(ids):
            raise SystemExit(f"the desk did not decide: {answer.text[:200]}")
    return {
        "filter_ms": 1000 * statistics.median(times),
        "decided": len(ids),
        "decide_seconds": took,
    }


def peak_of(process: subprocess.Popen[str]) -> float:
    """Return the greatest memory that a process had so far, in megabytes; 0 where none tells."""
    status = Path(f"/proc/{process.pid}/status")
    if not status.exists():
        return 0.0
    (line,) = (one for one in status.read_text().splitlines() if one.startswith("VmHWM"))
    return int(line.split()[1]) / 1000


def figures(size: str) -> dict[str, float]:
    """Return all figures for a size."""
    count = SIZES[size]
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        wrote = seconds(lambda: write_many(folder, count))
        begin = time.perf_counter()
        tell(f"{count} pictures written in {wrote:.1f} s; the desk surveys them")
        command = [sys.executable, "-m", "primecoat", "desk", str(folder), "--no-open", "--json"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        try:
            said = ""
            for line in process.stdout:
                said += line
                if line.rstrip() == "}":
                    break
            opened = time.perf_counter() - begin
            tell(f"open after {opened:.1f} s; the page is painted and scrolled")
            address = json.loads(said)["address"]
            return {
                "images": count,
                "write_seconds": wrote,
                "open_seconds": opened,
                **page_figures(address),
                **server_figures(address, count),
                "desk_peak_memory_mb": peak_of(process),
            }
        finally:
            process.terminate()
            process.wait(30)


def tell(words: str) -> None:
    """Say on stderr which phase begins."""
    print(words, file=sys.stderr, flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=tuple(SIZES), default="small")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    show("desk_page", figures(options.size), as_json=options.json)
