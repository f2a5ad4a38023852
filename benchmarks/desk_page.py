"""The desk's list in Chromium: first paint and frames while it is scrolled.

The scene is a sheet of settings whose pictures are one small file under many names; the list is
the same as for large pictures, for it shows what the survey holds.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
from _figures import show
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


def write_scene(folder: Path, count: int) -> None:
    """Write a folder of so many pictures: one small file, hard-linked under names of its own."""
    picture = oiio.ImageBuf(oiio.ImageSpec(8, 8, 3, oiio.UINT8))
    picture.set_pixels(oiio.ROI(), np.full((8, 8, 3), 0.5, np.float32))
    first = folder / "glaze_00000_color.png"
    picture.write(str(first))
    for number in range(1, count):
        os.link(first, folder / f"glaze_{number:05}_color.png")


def page_figures(address: str, *, seconds: float = 4.0) -> dict[str, float]:
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
        gaps = sorted(page.evaluate(SCROLL, seconds))
        rows = page.evaluate("document.querySelectorAll('.vrow').length")
        heap = page.evaluate("performance.memory?.usedJSHeapSize ?? 0") / 1e6
        browser.close()
    return {
        "first_paint_ms": statistics.median(paints),
        "scroll_frame_p95_ms": gaps[int(0.95 * (len(gaps) - 1))],
        "scroll_frames": len(gaps),
        "row_elements": rows,
        "page_heap_mb": heap,
    }


def figures(size: str) -> dict[str, float]:
    """Return all figures for a size."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write_scene(folder, SIZES[size])
        command = [sys.executable, "-m", "primecoat", "desk", str(folder), "--no-open", "--json"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        try:
            said = ""
            for line in process.stdout:
                said += line
                if line.rstrip() == "}":
                    break
            address = json.loads(said)["address"]
            return {"images": SIZES[size], **page_figures(address)}
        finally:
            process.terminate()
            process.wait(30)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", choices=tuple(SIZES), default="small")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    show("desk_page", figures(options.size), as_json=options.json)
