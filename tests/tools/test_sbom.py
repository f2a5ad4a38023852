"""The list of parts: whole, true to the lock, and valid as far as its standard asks."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
LOCK = ROOT / "requirements" / "runtime.txt"


def written(folder: Path, *more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "tools" / "write_sbom.py"), str(folder), *more],
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("parts")
    done = written(folder)
    assert done.returncode == 0, done.stderr
    return folder


def test_it_lists_what_the_lock_pins(folder: Path) -> None:
    """Names by a reading of the lock of its own: lines that begin with NAME==."""
    document: dict[str, Any] = json.loads((folder / "sbom.cdx.json").read_text("utf-8"))
    assert (document["bomFormat"], document["specVersion"]) == ("CycloneDX", "1.6")
    text = LOCK.read_text(encoding="utf-8")
    pinned = dict(re.findall(r"^([a-z0-9-]+)==([^ ;\\]+)(?= \\$)", text, re.MULTILINE))
    found = {c["name"]: c["version"] for c in document["components"]}
    assert pinned.items() <= found.items()
    assert {"numpy", "openimageio", "usd-core"} <= set(found)
    for part in document["components"]:
        assert part["purl"] == f"pkg:pypi/{part['name']}@{part['version']}"
        assert all(p["value"] in text for p in part["properties"])
        assert part["properties"]
    refs = [part["bom-ref"] for part in document["components"]]
    assert len(set(refs)) == len(refs)
    assert document["dependencies"] == [{"ref": "primecoat", "dependsOn": refs}]


def test_every_part_has_a_licence(folder: Path) -> None:
    rows = (folder / "licences.md").read_text(encoding="utf-8").splitlines()[2:]
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    assert all(len(row) == 3 and all(row) for row in cells)
    assert not [row for row in cells if re.search(r"\bA?GPL", row[2])]


def test_a_lock_that_is_not_installed_is_told(tmp_path: Path) -> None:
    lock = tmp_path / "other.txt"
    lock.write_text(f"numpy==0.0.1 \\\n    --hash=sha256:{'0' * 64}\n", encoding="utf-8")
    done = written(tmp_path / "out", "--lock", str(lock))
    assert (done.returncode, "is pinned to 0.0.1" in done.stderr) == (1, True)
