"""What a comparison knows of files that were handed over: their manifests tell the view."""

from __future__ import annotations

import io

import pytest
from rich.console import Console
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.report.compare_document import compare_document
from primecoat.report.compare_view import compare_view

OLDER = "studio-config-v2.2.0_aces-v1.3_ocio-v2.4"
OLDER_VIEW = "ACES 1.0 - SDR Video"
UNTOLD = "Nobody tells which view"


@pytest.fixture
def master(tmp_path):
    return m.master(tmp_path / "grey.exr", m.colours(*((0.18 * 2.0**n,) * 3 for n in range(-4, 5))))


def handed(master, folder, **options):
    found = workflow.handover([master], "srgb-png", out=master.parent / folder, **options)
    return found.folder / found.done[0].record.output


def words(found):
    out = io.StringIO()
    Console(file=out, width=400).print(compare_view(found))
    return out.getvalue()


def test_two_views_are_told_by_their_manifests(master):
    """Mid-grey of the old view is some codes brighter: that is no change of the render."""
    old = handed(master, "old", config=OLDER)
    new = handed(master, "new")
    found = workflow.compare(old, new)
    assert found.same_view is False
    told = compare_document(found)
    assert (told["a"]["view"], told["b"]["view"]) == (OLDER_VIEW, DEFAULT_VIEW)
    assert told["b"]["display"] == DEFAULT_DISPLAY
    assert "seen in different ways" in words(found)
    assert f"through {OLDER_VIEW} (says the manifest of its handover)" in words(found)
    same = workflow.compare(new, handed(master, "again"))
    assert same.same_view is True
    assert UNTOLD not in words(same)
    # the master, seen as the handed over picture was, and otherwise
    assert workflow.compare(new, master).same_view is True
    assert workflow.compare(new, master, view_b="Un-tone-mapped").same_view is False
    assert workflow.compare(old, master, config=DEFAULT_CONFIG).same_view is False


def test_without_a_manifest_that_fits_nobody_tells(master):
    """No manifest, one of other bytes, one that is damaged."""
    new = handed(master, "new")
    other = handed(master, "other")
    moved = master.parent / "moved.png"
    moved.write_bytes(new.read_bytes())
    found = workflow.compare(moved, new)
    assert found.same_view is None
    assert compare_document(found)["a"]["view"] is None
    assert f"{UNTOLD} A went through" in words(found)
    other.write_bytes(handed(master, "bare", view="Un-tone-mapped").read_bytes())
    assert workflow.compare(new, other).through[1] is None
    (manifest,) = new.parent.glob("handover.*.json")
    manifest.write_text('{"document": "primecoat.handover/1", "files": [1]}')
    assert workflow.compare(new, new).same_view is None
