"""Measure which branches the tests take of the parts that must take all; fail if one is left out.

``python tools/branches.py [PART ...]`` runs the tests of each part in a process of its own, parts
beside each other, and prints what is missing, by line. Needs ``coverage`` (``[tool.coverage]`` in
``pyproject.toml`` says what cannot be taken). Only tests that are quick and take branches of the
part are named here; those that crash, kill or starve a process say nothing more about branches.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
MISSING, NOT_INSTALLED = 1, 2


@dataclass(frozen=True)
class Part:
    """Modules whose branches must all be taken, and the tests that take them.

    Parameters
    ----------
    modules
        Patterns below ``src/primecoat``.
    tests
        Files and folders below ``tests``.
    """

    modules: tuple[str, ...]
    tests: tuple[str, ...]


_SCENES = (
    *("formats/gltf", "formats/sheet", "gltf_buffers", "gltf_colours", "gltf_container"),
    *("gltf_document", "gltf_images", "gltf_slots", "json_span", "placeholders", "resolve"),
    "xml_span",
)
"""Readers of JSON, GLB, CSV and places in XML; USD and MaterialX are read by their libraries."""

PARTS = {
    "readers": Part(
        modules=(
            *("plan/plan.py", "plan/reach.py", "reading/decisions.py"),
            *("colour/ocio/look_guard.py", "config/look_contents.py", "config/look_file.py"),
            *("renders/corrections/entries.py", "images/exr.py", "images/icc_curves.py"),
            *("images/icc_statement.py", "images/size_limits.py", "images/tiff_pages.py"),
            *(f"scenes/{name}.py" for name in _SCENES),
        ),
        tests=(
            *("config/test_look_file.py", "config/test_look.py", "fuzz/test_fuzz.py"),
            *("hostile/test_limits.py", "hostile/test_hostile.py", "hostile/test_looks_built.py"),
            *("images/test_exr_statements.py", "images/test_icc.py", "images/test_icc_tables.py"),
            *("images/test_header_traps.py", "images/test_robust_headers.py"),
            *("images/test_header_branches.py", "images/test_header_matrix.py"),
            *("images/test_layers.py", "images/test_tga.py", "images/test_tiff_pages.py"),
            *("plan/test_plan_document.py", "reading/test_decisions.py"),
            *("renders/test_correction_chains.py", "renders/test_corrections.py"),
            "renders/test_corrections_elsewhere.py",
            *("renders/test_entry_refusals.py", "scenes/test_broken_paths.py"),
            *("scenes/test_gltf_broken.py", "scenes/test_gltf_edit.py"),
            *("scenes/test_gltf_read.py", "scenes/test_json_span.py"),
            *("scenes/test_reader_branches.py", "scenes/test_resolve.py"),
            *("scenes/test_sheet_edit.py", "scenes/test_sheet_read.py"),
            "scenes/test_xml_span.py",
        ),
    ),
    "apply": Part(
        modules=("apply/*", "files.py"),
        tests=(
            "apply/test_bakes_that_fail.py",
            "apply/test_changed_outside.py",
            "apply/test_journal_from_elsewhere.py",
            "apply/test_journal_refusals.py",
            "apply/test_reach.py",
            "apply/test_run_reach.py",
            "apply/test_cut_short.py",
            "apply/test_refusals.py",
            "apply/test_there_and_back.py",
            "apply/test_undo_refusals.py",
            "test_files.py",
            "test_files_at_their_worst.py",
            "test_files_lock.py",
        ),
    ),
    "image headers": Part(
        modules=(
            "images/icc.py",
            "images/exif.py",
            "images/png.py",
            "images/jpeg.py",
            "images/tiff.py",
            "images/tga.py",
            "images/webp.py",
            "images/radiance.py",
            "images/exr_parts.py",
            "images/cicp.py",
            "images/gamma.py",
            "images/head.py",
            "images/stated.py",
        ),
        tests=(
            "images/test_icc.py",
            "images/test_header_matrix.py",
            "images/test_header_traps.py",
            "images/test_tga.py",
            "images/test_exr_statements.py",
            "images/test_header_branches.py",
        ),
    ),
    "documents": Part(
        modules=("documents.py", "limits.py", "location.py", "scenes/gltf_accessor.py"),
        tests=("test_documents.py",),
    ),
}


def measure(part: Part, data: Path) -> tuple[int, str]:
    """Run the tests of a part; return 0 if they leave out nothing, and what was printed."""
    include = ",".join(f"src/primecoat/{pattern}" for pattern in part.modules)
    tests = [f"tests/{name}" for name in part.tests]
    kept = f"--data-file={data}"
    run = ["run", "--branch", f"--include={include}", kept, "-m", "pytest", "-q", *tests]
    failed, printed = coverage(*run)
    if failed:
        return failed, printed
    report = ("--show-missing", "--skip-covered", "--precision=2", "--fail-under=100")
    missing, told = coverage("report", kept, *report)
    return missing, printed + told


def coverage(*words: str) -> tuple[int, str]:
    """Run coverage in a process of its own; return its exit code and what it printed."""
    path = os.pathsep.join((str(ROOT / "src"), str(ROOT)))
    environment = {**os.environ, "PYTHONPATH": path}
    command = [sys.executable, "-m", "coverage", *words]
    both = subprocess.PIPE, subprocess.STDOUT
    done = subprocess.run(
        command, cwd=ROOT, env=environment, stdout=both[0], stderr=both[1], text=True, check=False
    )
    return done.returncode, done.stdout


def main(words: Sequence[str] | None = None) -> int:
    """Measure the parts asked for; return 0 if every branch was taken."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"of {', '.join(PARTS)}")
    asked = parser.parse_args(words).parts or list(PARTS)
    unknown = [name for name in asked if name not in PARTS]
    if unknown:
        parser.error(f"there is no part {unknown[0]!r}; the parts are {', '.join(PARTS)}")
    probe = [sys.executable, "-c", "import coverage"]
    if subprocess.run(probe, stderr=subprocess.DEVNULL, check=False).returncode:
        print("Branches are not measured: coverage is not installed here.", file=sys.stderr)
        return NOT_INSTALLED
    with tempfile.TemporaryDirectory() as folder:
        data = [Path(folder) / name for name in asked]
        with ThreadPoolExecutor(os.cpu_count()) as cores:
            outcomes = list(cores.map(measure, [PARTS[name] for name in asked], data))
    for name, (_, printed) in zip(asked, outcomes, strict=True):
        print(f"{name}\n{printed}")
    return MISSING if any(code for code, _ in outcomes) else 0


if __name__ == "__main__":
    sys.exit(main())
