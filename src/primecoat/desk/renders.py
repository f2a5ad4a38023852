"""The two renders that a desk was opened with."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from primecoat import workflow
from primecoat.desk.stamps import Stamp, stamp_of
from primecoat.renders.figures import Comparison


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

    def compared(self, config: str | None) -> Comparison:
        """Compare them; once, as long as the files are the same."""
        stamps = stamp_of(Path(self.old)), stamp_of(Path(self.new))
        if not all(stamps):  # a pattern of many files: nothing tells cheaply that none changed
            return _compared.__wrapped__(self, config, stamps)
        return _compared(self, config, stamps)


@lru_cache(maxsize=1)
def _compared(renders: Renders, config: str | None, stamps: tuple[Stamp, Stamp]) -> Comparison:
    return workflow.compare(
        renders.old,
        renders.new,
        in_a=renders.in_old,
        in_b=renders.in_new,
        view_a=renders.view_old,
        view_b=renders.view_new,
        display=renders.display,
        config=config,
    )
