"""The loop closed over the written files: card, light paths of the proof, and back.

The short form of ``python -m tests.proof.card_by_paths``, which does it for all forty programs.
"""

from __future__ import annotations

import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.proof.card_by_paths import render, wrong_answers
from tests.proof.card_renderer import ACES_2, Program, write
from tests.proof.programs import SRGB

from primecoat.proof.card import read_card

LACKS = ("environment", "light_by_temperature", "float_color")
"""What ``card.gltf`` cannot hold."""

PROGRAMS = {
    "card.usda": Program(
        name="paths_usd",
        working="ap1",
        read={"grey_data": SRGB, "light_by_temperature": "kelvin_not_converted"},
        view=ACES_2,
        eight_bit=True,
        pose="rotated",
        stops=-1.0,
    ),
    "card.gltf": Program(
        name="paths_gltf", working="rec709", read={"untagged_color": "data"}, stops=1.0
    ),
}


@pytest.mark.parametrize("name", PROGRAMS)
def test_a_render_of_the_written_card_by_light_paths_is_read_right(card_folder, tmp_path, name):
    program = PROGRAMS[name]
    picture = render(card_folder, program, 4, name=name)
    space = None if program.view else "lin_rec709_scene"
    found = read_card(write(tmp_path, program, picture), space=space)
    assert not wrong_answers(found, program, LACKS if name == "card.gltf" else ())
