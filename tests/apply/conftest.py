from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.apply import worlds
from tests.apply.worlds import World

NewWorld = Callable[[str], World]


@pytest.fixture(scope="session")
def templates(tmp_path_factory: pytest.TempPathFactory) -> dict[str, World]:
    """Return one scene of each kind, to be copied."""
    folder = tmp_path_factory.mktemp("templates")
    return {kind: worlds.build(kind, folder / kind.replace(" ", "_")) for kind in worlds.KINDS}


@pytest.fixture
def new_world(templates: dict[str, World], tmp_path: Path) -> NewWorld:
    """Return a maker of fresh scenes, each in a folder of a folder of its own."""
    numbers = itertools.count()
    return lambda kind: templates[kind].copy(tmp_path / str(next(numbers)) / "scene")
