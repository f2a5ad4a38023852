"""What a shell asks for on each press of Tab, and help, load nothing that works on pictures."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import PyOpenColorIO

from primecoat.report.installed import library_versions
from primecoat.report.versions import versions

HEAVY = (
    *("numpy", "PyOpenColorIO", "OpenImageIO", "MaterialX", "pxr"),
    *("rich", "fastapi", "starlette", "uvicorn", "markdown_it", "distributed", "embreex"),
    *("primecoat.workflow.surveying", "primecoat.report.terminal", "primecoat.images.oiio"),
    *("primecoat.inventory", "primecoat.checks", "primecoat.plan.plan", "primecoat.desk"),
)
"""What costs more to load than an answer to a shell should take."""

ASKED = """
import contextlib, io, json, os, sys
from primecoat.cli.main import run

def loaded():
    return [name for name in json.loads(sys.argv[1]) if name in sys.modules]

def answer(*words):
    with contextlib.redirect_stdout(io.StringIO()) as said, contextlib.redirect_stderr(said):
        with contextlib.suppress(SystemExit):
            run(list(words))
    return said.getvalue()

def tab(line):
    words = line.split(" ")
    os.environ |= {"_PRIMECOAT_COMPLETE": "complete_bash", "COMP_WORDS": line,
                   "COMP_CWORD": str(len(words) - 1)}
    said = answer()
    del os.environ["_PRIMECOAT_COMPLETE"]
    return said.split()

verbs = [[], ["plan"], ["config", "write"], ["handover"]]
told = {
    "helps": ["--help" in answer(*verb, "--help") for verb in verbs],
    "version": answer("--version").split()[:2],
    "wrong": answer("survey", "tea.gltf", "--glaze").count("No such option"),
    "verb": tab("primecoat surv"),
    "options": ["--help" in tab(" ".join(("primecoat", *verb, "--"))) for verb in verbs],
    "values": [tab(f"primecoat {line}") for line in ("match a b --up-to e", "plan tea --route d")],
    "loaded": loaded(),
}
told["swatch"] = answer("swatch", "#b5651d", "--json")[:1]
told["then"] = loaded()
print(json.dumps(told))
"""

TELL_VERSIONS = """
import json, sys
from primecoat.report.installed import library_versions
print(json.dumps(library_versions()))
print("PyOpenColorIO" in sys.modules)
"""


def test_help_and_completion_load_nothing_heavy():
    told = json.loads(in_a_process(ASKED, json.dumps(HEAVY)))
    assert all(told["helps"])
    assert told["version"][0] == "primecoat"
    assert told["wrong"] == 1
    assert told["verb"] == ["survey"]
    assert all(told["options"])
    assert told["values"] == [["exposure"], ["declare"]]
    assert told["loaded"] == []
    # a verb that works does load them, so they are looked for by the names that they have
    assert told["swatch"] == "{"
    assert {"numpy", "PyOpenColorIO", "rich"} <= set(told["then"])


def test_versions_are_told_without_loading_what_is_installed():
    """They are those that the loaded libraries tell themselves."""
    assert library_versions() == versions()["libraries"]
    assert in_a_process(TELL_VERSIONS).splitlines()[1] == "False"


def test_a_build_that_python_finds_first_is_asked_itself(tmp_path):
    """A studio's own OpenColorIO before the installed one: its version is told, not the other's."""
    own = tmp_path / "PyOpenColorIO"
    own.mkdir()
    installed = Path(str(PyOpenColorIO.__file__)).parent
    (own / "__init__.py").write_text(
        f"__path__ = [{str(installed)!r}]\n"
        "from PyOpenColorIO.PyOpenColorIO import *\n"
        "def GetVersion():\n    return '2.9.1-pottery'\n",
        encoding="utf-8",
    )
    told, loaded = in_a_process(TELL_VERSIONS, first=tmp_path).splitlines()
    assert json.loads(told) == versions()["libraries"] | {"OpenColorIO": "2.9.1-pottery"}
    assert loaded == "True"


def in_a_process(code: str, *words: str, first: Path | None = None) -> str:
    path = [str(first)] if first else []
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        env={**os.environ, "PYTHONPATH": os.pathsep.join((*path, *filter(None, sys.path)))},
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return done.stdout
