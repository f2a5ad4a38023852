"""The card, written once."""

from __future__ import annotations

import pytest

from primecoat.proof.card import write_card


@pytest.fixture(scope="session")
def card_folder(tmp_path_factory):
    """The card as it was written."""
    folder = tmp_path_factory.mktemp("card") / "card"
    write_card(folder)
    return folder
