"""A store of bakes that came with a scene: what is in it is not believed for its name."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest
from tests.apply import kiln
from tests.apply.test_bakes import entries

from primecoat import jobs, workflow
from primecoat.bake.store import StoredBake, find
from primecoat.plan.operations import BakeImage


@pytest.mark.skipif(os.name == "nt", reason="written for systems with links and pipes")
def test_an_entry_from_elsewhere_is_not_believed(tmp_path: Path) -> None:
    """A store can come with a scene: figures that no bake comes to, links and pipes."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 1))
    workflow.bake_share(made, jobs.WHOLE)
    (entry,) = entries(made.root)
    (operation,) = (o for o in made.operations if isinstance(o, BakeImage))
    whole = tmp_path / "whole"
    shutil.copytree(entry, whole)
    record = json.loads((entry / "record.json").read_text())

    def found() -> StoredBake | None:
        return find(entry.parent, operation, entry.name)

    def again() -> None:
        shutil.rmtree(entry, ignore_errors=True)
        shutil.copytree(whole, entry)

    assert found() is not None
    figures = record["figures"]
    for changed in (
        {"figures": [7]},
        {"figures": {key: value for key, value in figures.items() if key != "number"}},
        {"figures": figures | {"below": "many"}},
        {"figures": figures | {"below": float("nan")}},
        {"figures": figures | {"number": "\ud800"}},
        {"figures": figures | {"glaze": 1}},
        {"seconds": float("inf")},
        {"seconds": 10**400},
    ):
        again()
        (entry / "record.json").write_text(json.dumps(record | changed))
        assert found() is None
    for name in ("picture.exr", "record.json"):
        for make in (lambda path: path.symlink_to(whole / path.name), os.mkfifo):
            again()
            (entry / name).unlink()
            make(entry / name)
            assert found() is None
    again()
    assert found() is not None
