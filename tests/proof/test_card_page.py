"""The page about the card shows what ``card read`` says of the picture beside it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.cli.terminal import Terminal
from tests.proof.card_rays import trace
from tests.proof.card_renderer import ACES_2, Program, render, write
from tests.proof.loaded_card import load_card

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "how-to" / "prove-it-with-a-test-card.md"
PICTURE = ROOT / "docs" / "pictures" / "test-card.png"

EXAMPLE = Program(
    name="test-card",
    working="ap1",
    read={
        "sixteen_bit_color": "data",
        "token_ap1_color": "srgb_rec709_scene",
        "profile_p3_color": "srgb_rec709_scene",
        "grey_data": "srgb_rec709_scene",
    },
    view=ACES_2,
    eight_bit=True,
)
"""The program whose render the page shows."""


@pytest.fixture
def terminal(capsys, monkeypatch):
    monkeypatch.delenv("OCIO", raising=False)
    return Terminal(capsys)


def shown() -> str:
    blocks = re.findall(r"^```text\n(.*?)^```", PAGE.read_text("utf-8"), re.MULTILINE | re.DOTALL)
    [block] = [one for one in blocks if one.startswith("working space")]
    return str(block)


def test_the_picture_of_the_page_is_read_as_the_page_says(terminal):
    found = terminal("card", "read", str(PICTURE))
    assert found.code == 1
    assert found.out.split() == shown().split()


def test_the_picture_of_the_page_is_the_card_as_it_is_written(terminal, card_folder, tmp_path):
    card = load_card(card_folder)
    picture = render(card, trace(card, EXAMPLE.pose), EXAMPLE, seed=1)
    again = write(tmp_path, EXAMPLE, picture)
    found = terminal("card", "read", str(again))
    assert found.out.split() == shown().split()
