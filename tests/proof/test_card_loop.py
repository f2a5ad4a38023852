"""The loop closed: the card rendered by simulated programs is read as each of them read it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.proof.card_rays import HEIGHT, POSES, WIDTH, trace
from tests.proof.card_renderer import ACES_2, PLAIN, Program, render, write
from tests.proof.loaded_card import load_card
from tests.proof.programs import BLIND_TO_NAMES, NOTHING_CONVERTED, PROGRAMS

from primecoat.proof.card import read_card
from primecoat.proof.card.inputs import INPUTS

SPACE = {"rec709": "lin_rec709_scene", "ap1": "lin_ap1_scene"}


@pytest.fixture(scope="session")
def seen(card_folder, tmp_path_factory):
    """Give a reading of what a program makes of the card."""
    card = load_card(card_folder)
    folder = tmp_path_factory.mktemp("renders")
    met = cache(lambda pose: trace(card, pose))

    def reading_of(program: Program, *, say: bool | None = None):
        picture = render(card, met(program.pose), program, seed=len(program.name))
        path = write(folder, program, picture)
        said = program.say and program.view is None if say is None else say
        return read_card(path, space=SPACE[program.working] if said else None)

    return reading_of


def truth(program: Program) -> dict[str, str]:
    return {key: program.read.get(key, given.made_as) for key, given in INPUTS.items()}


def holds(answer, wanted: str) -> bool:
    return wanted in (answer.reading, *answer.same)


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.name)
def test_what_a_program_did_is_read_from_its_render(seen, program):
    found = seen(program)
    if program.view is None:
        assert found.view is not None
        assert not found.view.baked
    else:
        assert found.view is not None
        assert program.view[1:] in found.view.names
    assert found.view_standing == "settled"
    assert found.mirrored == (program.pose == "mirrored")
    assert found.stops == pytest.approx(program.stops, abs=0.02)
    wrong = {
        one.key: (one.standing, [(a.reading, round(a.confidence, 4)) for a in one.answers])
        for one in found.inputs
        if one.standing != "settled" or not holds(one.answers[0], truth(program)[one.key])
    }
    assert not wrong
    assert found.working[0].reading == SPACE[program.working]
    no_product = program.read.get("light_by_colour") == "ignored"  # then AP1 is near Rec.2020
    assert found.working_standing in ("settled", *(("likely",) if no_product else ()))


def test_two_ways_to_the_same_picture_are_both_told(seen):
    """Nothing converted in AP1, or right in Rec.709 by a program blind to names: one picture."""
    old = Program(name="old", working="rec709", read=BLIND_TO_NAMES, say=False)
    new = Program(
        name="new",
        working="ap1",
        read={**NOTHING_CONVERTED},
        say=False,
    )
    for program in (old, new):
        found = seen(program)
        spaces = {answer.reading for answer in found.working}
        assert {"lin_rec709_scene", "lin_ap1_scene"} <= spaces
        assert found.working_standing == "ambiguous"
        for one in found.inputs:
            assert any(holds(answer, truth(program)[one.key]) for answer in one.answers), one.key
            if one.standing in ("settled", "likely"):
                assert holds(one.answers[0], truth(program)[one.key]), one.key
    told = seen(old, say=True)
    assert told.working[0].reading == "lin_rec709_scene"
    assert told.working_standing == "settled"


def test_what_a_format_cannot_hold_is_not_there_and_no_misreading(seen):
    """As from glTF: no environment, no temperature, no float picture; all else right."""
    lacks = ("environment", "light_by_temperature", "float_color")
    read = dict.fromkeys(lacks, "not_there")
    found = seen(Program(name="gltf", working="ap1", read=read, view=ACES_2, eight_bit=True))
    assert {one.key for one in found.inputs if not one.seen_at_all} == set(lacks)
    assert found.ready


def test_two_views_of_the_same_picture_are_both_told(seen):
    """Nothing converted, straight to a P3 display, or all right in Rec.709 to an sRGB display."""
    program = Program(
        name="views", working="rec709", view=PLAIN, read=BLIND_TO_NAMES, eight_bit=True
    )
    found = seen(program)
    assert found.view_standing == "ambiguous"
    told = {name for choice, _ in found.views for name in choice.names}
    assert {
        ("sRGB - Display", "Un-tone-mapped"),
        ("Display P3 - Display", "Un-tone-mapped"),
    } <= told
    for one in found.inputs:
        assert any(holds(answer, truth(program)[one.key]) for answer in one.answers), one.key


@pytest.mark.parametrize("view", [ACES_2, PLAIN, None])
def test_what_is_on_no_list_is_unknown_and_not_the_next_best(seen, view):
    """Gamma 1.8, read by hand-made curves, and light without red are no reading that is tried."""
    odd = Program(
        name=f"odd_{view[2][:4] if view else 'none'}",
        view=view,
        eight_bit=view is not None,
        read={"untagged_color": "g18_rec709_scene", "grey_data": "g18_rec709_scene"},
    )
    found = {one.key: one for one in seen(odd).inputs}
    for key in odd.read:
        assert found[key].standing == "unknown", found[key]
    others = [one for one in found.values() if one.key not in odd.read]
    assert all(one.as_made for one in others)


def test_a_view_on_no_list_is_unknown(seen, card_folder, tmp_path):
    """A picture whose contrast was changed by hand is explained by no view."""
    card = load_card(card_folder)
    program = Program(name="contrast", view=PLAIN, eight_bit=True)
    picture = render(card, trace(card, "straight"), program, seed=3) / 255.0
    changed = np.clip((picture - 0.4) * 1.5 + 0.4, 0, 1)
    path = write(tmp_path, program, np.rint(changed * 255).astype(np.uint8))
    found = read_card(path)
    assert found.view is None
    assert found.view_standing == "unknown"
    assert all(one.standing == "unknown" for one in found.inputs)


@pytest.mark.parametrize("pose", POSES)
def test_the_frame_is_found_to_a_third_of_a_pixel(seen, card_folder, pose):
    card = load_card(card_folder)
    found = seen(Program(name=f"pose_{pose}", pose=pose))
    flat = np.array([(-5.7, 4.0), (5.7, 4.0), (5.7, -4.0), (-5.7, -4.0)])
    x = (flat[:, 0] / card.eye[2] / card.half_width + 1) / 2 * WIDTH
    y = (1 - flat[:, 1] / card.eye[2] / card.half_height) / 2 * HEIGHT
    full = np.stack((x, y, np.ones(4)), axis=1) @ POSES[pose].T
    assert (
        np.abs(np.array(found.corners) - full[:, :2] / full[:, 2:]).max() < 0.33
    )  # two rays a side


@pytest.mark.parametrize("number", range(1, 40, 8))
def test_light_from_patch_to_patch_changes_no_answer(seen, number):
    program = replace(PROGRAMS[number], name=f"bounce_{number}", bounce=True)
    for one in seen(program).inputs:
        assert one.standing in ("settled", "likely"), one
        assert holds(one.answers[0], truth(program)[one.key]), one


def test_pixels_without_a_number_are_left_out(seen, card_folder, tmp_path):
    """NaN and infinity in some pixels change nothing; a field of them is open, not wrong."""
    card = load_card(card_folder)
    program = Program(name="holes")
    picture = render(card, trace(card, "straight"), program, seed=2)
    chance = np.random.default_rng(8)
    picture[chance.random(picture.shape[:2]) < 0.02] = np.nan
    picture[chance.random(picture.shape[:2]) < 0.02] = np.inf
    picture[160:200, 280:324] = np.nan  # the 16-bit picture
    found = {one.key: one for one in read_card(write(tmp_path, program, picture)).inputs}
    assert found.pop("sixteen_bit_color").standing in ("ambiguous", "unknown")
    assert all(one.as_made for one in found.values())


def test_noise_is_no_hindrance(seen):
    """Ten times the noise leaves every answer right or open."""
    program = replace(PROGRAMS[0], name="noisy", noise=0.1)
    for one in seen(program).inputs:
        if one.standing in ("settled", "likely"):
            assert holds(one.answers[0], truth(program)[one.key])
