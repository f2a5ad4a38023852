"""What a refusal is: words, and nothing changed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from tests.apply.worlds import World
from tests.plan import small as s

from primecoat.errors import RefusedError

NewWorld = Callable[[str], World]


def refused(act: Callable[[], object], folder: Path, match: str) -> None:
    """Hold that an act is refused with these words and changes nothing."""
    before = s.content(folder), s.times(folder)
    with pytest.raises(RefusedError, match=match):
        act()
    assert (s.content(folder), s.times(folder)) == before
