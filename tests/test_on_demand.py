"""Names of the package that are loaded when they are asked for."""

from __future__ import annotations

import ast
import importlib
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

import primecoat
from primecoat import jobs, workflow


def said_to_the_type_checker(package: ModuleType) -> dict[str, str]:
    """The names in the block that only type checkers read, each with its module."""
    tree = ast.parse(Path(str(package.__file__)).read_text(encoding="utf-8"))
    [block] = [node for node in tree.body if isinstance(node, ast.If)]
    found: dict[str, str] = {}
    for line in block.body:
        assert isinstance(line, ast.ImportFrom)
        found |= {alias.name: str(line.module) for alias in line.names}
    return found


@pytest.mark.parametrize(
    "package", [primecoat, workflow, jobs], ids=lambda package: package.__name__
)
def test_names_are_what_type_checkers_are_told(package):
    said = said_to_the_type_checker(package)
    loaded_at_once = {"__version__", "DEFAULT_TO"}
    assert said.keys() == set(package.__all__) - loaded_at_once
    for name, module in said.items():
        assert getattr(package, name) is getattr(importlib.import_module(module), name), name
    assert set(package.__all__) <= set(dir(package))


def test_a_verb_is_a_verb_whatever_was_loaded_before():
    """Folders and modules of a verb's name do not take its place, loaded before it or after."""
    code = (
        "import primecoat, primecoat.plan.operations, primecoat.report.page, primecoat.demo\n"
        "import primecoat.workflow.corrections, primecoat.workflow.proof\n"
        "from primecoat import apply, workflow\n"
        "import primecoat.apply.execute\n"
        "from primecoat.plan.operations import describe\n"
        "found = (primecoat.plan, primecoat.report, primecoat.demo, primecoat.apply, apply,\n"
        "         workflow.corrections, workflow.proof, workflow.plan)\n"
        "print(*(type(verb).__name__ for verb in found))\n"
        "print(hasattr(primecoat, 'glaze'), primecoat.house.__name__)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    verbs, others = done.stdout.splitlines()
    assert set(verbs.split()) == {"function"}
    assert others == "False primecoat.house"
