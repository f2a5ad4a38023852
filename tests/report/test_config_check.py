from __future__ import annotations

import json

from rich.console import Console
from tests.config.check_makers import changed, healthy

from primecoat.config.check import check_config
from primecoat.documents import dumps
from primecoat.report.config_check_document import config_check_document
from primecoat.report.config_check_view import config_check_view


def shown(name: str) -> str:
    console = Console(width=200, record=True, force_terminal=False)
    with console.capture() as capture:
        console.print(config_check_view(check_config(name)))
    return capture.get()


def test_document_holds_findings_and_counts(tmp_path):
    path = changed(("src: warm.cube", "src: gone.cube"))(tmp_path)
    document = json.loads(dumps(config_check_document(check_config(str(path)))))
    assert document["document"] == "primecoat.config_check/1"
    assert document["sound"] is False
    assert document["checked"]["looks"] == 1
    (found,) = document["findings"]
    assert (found["code"], found["severity"]) == ("PC501", "error")
    assert "gone.cube" in found["message"]
    assert found["location"].endswith("#the look 'warm'")


def test_view_names_place_message_remedy_and_outcome(tmp_path):
    make = changed(
        ("encoding: scene-linear", "encodign: x"), ('pattern: "*_raw"', 'pattern: "*raw"')
    )
    lines = shown(str(make(tmp_path))).splitlines()
    assert lines[0].startswith("PC502 error: line ")
    assert "Write 'encoding'" in lines[2]
    assert lines[3].startswith("PC510 warning: file rule Data")
    assert "1 error, 1 warning, 0 notes" in lines[-1]


def test_view_of_a_config_that_could_not_be_loaded(tmp_path):
    path = changed(("(srgb|glaze)", "(srgb|glaze"))(tmp_path)
    assert "could not be loaded: 1 error" in shown(str(path)).splitlines()[-1]


def test_view_of_a_sound_config(tmp_path):
    lines = shown(str(healthy(tmp_path))).splitlines()
    assert lines[0].startswith("Checked: 7 spaces, 3 views, 1 look")
    assert "0 errors, 0 warnings, 0 notes" in lines[-1]
