"""Build the wheel, look into it, install it into a fresh environment, run it and type against it.

Run ``python tools/check_wheel.py FOLDER`` where hatchling is installed; FOLDER gets the wheel and
the environment. What the wheel needs comes from the package registry, as it is pinned in
``requirements/runtime.txt``.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import venv
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
MUST_HOLD = (
    "primecoat/py.typed",
    "primecoat/reading/policy.toml",
    "primecoat/reading/pixel_model.toml",
    "primecoat/colour/cie1931_2deg_5nm.csv",
    "primecoat/report/page/page.html",
    "primecoat/report/page/page.css",
    "primecoat/schemas/survey.1.json",
    "primecoat/schemas/primecoat.toml.json",
)
MUST_NOT = ("tests/", "tools/", "docs/", "examples/", "__pycache__")
TYPED = """\
import primecoat

found = primecoat.survey("tea.gltf", roots=[])
reveal_type(found.ready)
reveal_type(primecoat.gate(found).open)
"""


def main() -> None:
    """Do it all; end with a message where something is not as it must be."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.mkdtemp())
    wheel = build(folder)
    missing = faults(wheel)
    if missing:
        sys.exit(f"The wheel is not whole: {'; '.join(missing)}")
    python = install(wheel, folder / "fresh")
    elsewhere = {key: text for key, text in os.environ.items() if key != "PYTHONPATH"}
    told = _out([str(python.with_name("primecoat")), "--version"], folder, elsewhere)
    print(told, end="")
    script = folder / "typed.py"
    script.write_text(TYPED, encoding="utf-8")
    checker = [sys.executable, "-m", "mypy", "--strict", "--python-executable", str(python)]
    said = _out([*checker, "--cache-dir", str(folder / "mypy"), script.name], folder, elsewhere)
    if said.count('Revealed type is "bool"') + said.count('Revealed type is "builtins.bool"') != 2:
        sys.exit(f"The installed package is not typed: {said}")
    print(f"{wheel.name}: whole, installs, runs, typed.")


def build(folder: Path) -> Path:
    """Build the wheel without a network; return it."""
    folder.mkdir(parents=True, exist_ok=True)
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "wheel", "--quiet"]
    subprocess.run(
        [*pip, "--no-deps", "--no-index", "--no-build-isolation", "-w", str(folder), str(ROOT)],
        check=True,
    )
    [wheel] = folder.glob("primecoat-*.whl")
    return wheel


def faults(wheel: Path) -> list[str]:
    """Return what the wheel lacks of the source tree, or holds beyond it; none if it is whole."""
    with zipfile.ZipFile(wheel) as packed:
        names = set(packed.namelist())
    package = ROOT / "src" / "primecoat"
    static = [path for path in (package / "desk" / "static").rglob("*") if path.is_file()]
    wanted = {f"primecoat/{path.relative_to(package).as_posix()}" for path in static}
    lacks = sorted((wanted | set(MUST_HOLD)) - names)
    extra = sorted(n for n in names if n.startswith(MUST_NOT[:-1]) or MUST_NOT[-1] in n)
    return [f"lacks {name}" for name in lacks] + [f"holds {name}" for name in extra]


def install(wheel: Path, folder: Path) -> Path:
    """Install the wheel and its pinned needs into a new environment; return its Python."""
    venv.create(folder, with_pip=True, clear=True)
    python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    pip = [str(python), "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    needs = str(ROOT / "requirements" / "runtime.txt")
    subprocess.run([*pip, "--only-binary=:all:", "--require-hashes", "-r", needs], check=True)
    subprocess.run([*pip, "--no-deps", "--no-index", str(wheel)], check=True)
    return python


def _out(command: list[str], folder: Path, environment: dict[str, str]) -> str:
    done = subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode:
        sys.exit(f"{' '.join(command)} ended with {done.returncode}:\n{done.stdout}{done.stderr}")
    return done.stdout


if __name__ == "__main__":
    main()
