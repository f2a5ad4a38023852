from __future__ import annotations

from pathlib import Path

import pytest
from evaluation.cases import SIZES, Case
from evaluation.generated import generated_set
from evaluation.reading import SEED


@pytest.fixture(scope="session")
def small_set(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, tuple[Case, ...]]:
    """The small generated set: its folder and its labels."""
    folder = tmp_path_factory.mktemp("generated") / "small"
    return folder, generated_set(folder, SIZES["small"], SEED)
