"""How Sphinx makes a site of these pages: ``make site``."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from pygments.lexers.special import TextLexer
from sphinx.highlighting import lexers

if TYPE_CHECKING:
    from sphinx.application import Sphinx

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "src"))

from primecoat.version import __version__  # noqa: E402

project = "Primecoat"
author = "the Primecoat authors"
copyright = "the Primecoat authors"
version = release = __version__

extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
root_doc = "README"
exclude_patterns = ["_build"]
myst_heading_anchors = 4
autodoc_typehints = "description"
autodoc_member_order = "alphabetical"
napoleon_google_docstring = False

html_theme = "alabaster"
html_theme_options = {
    "description": "Primes a 3D scene for wide-gamut rendering.",
    "fixed_sidebar": True,
    "page_width": "75rem",
    "sidebar_width": "17rem",
}
html_sidebars = {"**": ["about.html", "searchfield.html", "navigation.html"]}
html_title = f"Primecoat {__version__}"
html_show_sourcelink = False
html_copy_source = False

lexers["csv"] = TextLexer()  # Pygments has none

_CONTENTS = {
    "README": {
        "Learn": ("tutorial", "first-runs/*", "explanation"),
        "Do": ("how-to/README",),
        "Look up": (
            "reference/*",
            "reference/findings/README",
            "reference/schemas/README",
            "numbers",
        ),
        "How it is built": ("architecture", "decisions/README"),
    },
    "how-to/README": {"": ("*",)},
    "decisions/README": {"": ("*",)},
    "reference/findings/README": {"": ("*",)},
}
"""Pages below a page: for the site's own navigation, so that the pages stay plain Markdown."""


def _add_contents(app: Sphinx, docname: str, source: list[str]) -> None:
    for caption, pages in _CONTENTS.get(docname, {}).items():
        listed = "\n".join(pages)
        head = f":caption: {caption}\n" if caption else ""
        source[0] += f"\n\n```{{toctree}}\n:hidden:\n:glob:\n{head}\n{listed}\n```\n"


def _make_front_door(app: Sphinx, failure: Exception | None) -> None:
    if failure is None and app.builder.format == "html":
        folder = Path(app.outdir)
        shutil.copyfile(folder / f"{root_doc}.html", folder / "index.html")


def setup(app: Sphinx) -> None:
    """Give the site its contents and its front door."""
    app.connect("source-read", _add_contents)
    app.connect("build-finished", _make_front_door)
