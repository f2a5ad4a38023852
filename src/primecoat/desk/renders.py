"""The two renders that a desk was opened with."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Renders:
    """Old and new render, with what the command line says of them; as for ``compare``."""

    old: str
    new: str
    in_old: str | None = None
    in_new: str | None = None
    view_old: str | None = None
    view_new: str | None = None
    display: str | None = None
