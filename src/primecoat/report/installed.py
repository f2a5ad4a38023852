"""The versions of the libraries without loading them, as far as what is installed tells them."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, distribution
from importlib.util import find_spec
from pathlib import Path

_LIBRARIES = {
    "OpenColorIO": ("PyOpenColorIO", "opencolorio"),
    "OpenImageIO": ("OpenImageIO", "OpenImageIO"),
    "NumPy": ("numpy", "numpy"),
}
"""Each library's module, and the package that brings it."""


def library_versions() -> dict[str, str]:
    """Return the versions of the libraries that make results, by name.

    A package's record is believed if the module that Python would load lies where the package
    was installed. Where it does not, such as a studio's own build that is found first, the
    libraries are loaded and asked.
    """
    found = {name: _recorded(*library) for name, library in _LIBRARIES.items()}
    if all(found.values()):
        return found
    from primecoat.report.versions import versions

    libraries: dict[str, str] = versions()["libraries"]
    return libraries


def _recorded(module: str, package: str) -> str:
    """Return the version in a package's record; empty if the module comes from elsewhere."""
    spec = find_spec(module)
    try:
        record = distribution(package)
    except PackageNotFoundError:
        return ""
    if spec is None or spec.origin is None:
        return ""
    installed = Path(str(record.locate_file(module)))
    return record.version if installed in Path(spec.origin).parents else ""
