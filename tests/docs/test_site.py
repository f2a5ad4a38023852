"""The pages build as a site without a warning: every link leads somewhere, every page is listed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_site_builds_without_a_warning(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "sphinx", "--fail-on-warning", "--quiet", "--builder", "html"]
    folders = [str(ROOT / "docs"), str(tmp_path / "site"), "-d", str(tmp_path / "trees")]
    made = subprocess.run([*command, *folders], capture_output=True, text=True, check=False)
    assert made.returncode == 0, made.stderr
    site = tmp_path / "site"
    assert (site / "index.html").is_file()
    assert "primecoat.workflow.survey" in (site / "reference" / "python.html").read_text("utf-8")
    assert (site / "reference" / "findings" / "PC301.html").is_file()
