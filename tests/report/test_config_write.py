"""A written config, as told in the terminal and as a document."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from rich.console import Console

from primecoat.colour.ids import READINGS
from primecoat.config.plan_content import plan_content
from primecoat.config.write import WrittenConfig, write_config
from primecoat.report.config_write_document import config_write_document
from primecoat.report.config_write_view import config_write_view

OLDEST = "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"


@pytest.fixture
def written(tmp_path: Path) -> WrittenConfig:
    content = plan_content(base=OLDEST, made_in="lin_rec709_scene")
    return write_config(content, tmp_path / "tea.ocio")


def test_document(written: WrittenConfig):
    """The document names base, spaces, rules and what was proven, and is plain JSON."""
    document = json.loads(json.dumps(config_write_document(written)))
    assert document["document"] == "primecoat.config_write/1"
    assert (document["base"], document["version"]) == (OLDEST, "2.1")
    assert (document["to"], document["from"]) == ("lin_ap1_scene", "lin_rec709_scene")
    assert document["old_view"] == "Old look (Rec.709)"
    assert set(document["spaces"]) == set(READINGS)
    assert document["spaces"]["lin_ap1_scene"] == "ACEScg"
    assert "lin_adobergb_scene" in document["added"]
    assert len(document["file_rules"]) == len(READINGS)
    assert document["default"] == document["roles"]["default"] == "unknown"
    assert document["processors"] == written.processors > 60


def test_view(written: WrittenConfig):
    """The terminal names the file, the base, what was added and that it was read back."""
    printed = io.StringIO()
    Console(file=printed, width=120).print(config_write_view(written))
    text = " ".join(printed.getvalue().split())
    for part in ("Wrote", "tea.ocio", OLDEST, "OpenColorIO 2.1 and later", "lin_adobergb_scene"):
        assert part in text
    assert f"{written.processors} processors built" in text
    assert "Old look (Rec.709)" in text
