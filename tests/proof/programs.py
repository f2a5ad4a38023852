"""Forty simulated programs, and those that nothing on the list of readings explains.

Which misreadings happen: common practice, no source.
"""

from __future__ import annotations

from tests.proof.card_renderer import ACES_1, ACES_2, PLAIN, Program

SRGB = "srgb_rec709_scene"
PICTURES = (
    "token_color",
    "token_ap1_color",
    "declared_color",
    "untagged_color",
    "sixteen_bit_color",
    "profile_srgb_color",
    "profile_p3_color",
)
NOTHING_CONVERTED = {
    **dict.fromkeys(PICTURES, "srgb_curve_only"),
    "float_color": "data",
    "constant": "data",
    "light_by_colour": "data",
    "light_by_temperature": "kelvin_not_converted",
    "environment": "data",
}
BLIND_TO_NAMES = {"token_ap1_color": SRGB, "profile_p3_color": SRGB}

_VIEWS = (ACES_2, ACES_1, PLAIN, None)
_POSES = ("straight", "rotated", "small", "perspective", "upside_down", "mirrored")
_ALONE = (
    ("untagged_color", "data"),
    ("sixteen_bit_color", "data"),
    ("profile_p3_color", SRGB),
    ("token_ap1_color", SRGB),
    ("declared_color", "g22_rec709_scene"),
    ("profile_srgb_color", "srgb_ap1_scene"),
    ("token_color", "lin_rec709_scene"),
    ("float_color", SRGB),
    ("grey_data", SRGB),
    ("normal_map", SRGB),
    ("normal_map", "data_green_down"),
    ("constant", "data"),
    ("constant", SRGB),
    ("emission", SRGB),
    ("light_by_colour", "data"),
    ("light_by_colour", SRGB),
    ("light_by_colour", "ignored"),
    ("light_by_temperature", "kelvin_not_converted"),
    ("light_by_temperature", "ignored"),
    ("environment", "data"),
    ("environment", "lin_rec709_scene_cut_at_1"),
    ("environment", "not_there"),
)
_PAIRS: tuple[dict[str, str], ...] = (
    {"grey_data": SRGB, "normal_map": SRGB},
    {"sixteen_bit_color": "data", "environment": "data"},
    {"constant": SRGB, "light_by_colour": "data"},
    {"constant": "data", "light_by_colour": "data"},
    {"profile_p3_color": SRGB, "float_color": SRGB},
    {"light_by_temperature": "ignored", "light_by_colour": SRGB},
)


def _alone() -> list[Program]:
    """Each misreading alone, through the views, poses and exposures in turn."""
    found = []
    for number, (key, reading) in enumerate(_ALONE):
        view = _VIEWS[number % 4]
        found.append(
            Program(
                name=f"alone_{number}_{key}",
                working="rec709" if number % 5 == 2 else "ap1",
                read={key: reading},
                view=view,
                stops=(-1.0, 0.0, 1.0)[number % 3],
                pose=_POSES[number % 6],
                eight_bit=view is not None,
            )
        )
    return found


def _pairs() -> list[Program]:
    return [
        Program(
            name=f"pair_{number}",
            working="ap1",
            read=read,
            view=_VIEWS[number % 4],
            stops=(1.0, -1.0, 0.0)[number % 3],
            pose=_POSES[(number + 3) % 6],
            eight_bit=number % 4 != 3,
        )
        for number, read in enumerate(_PAIRS)
    ]


def _right() -> list[Program]:
    """Everything right, in both working spaces, and with nothing converted."""
    views = {"aces_2": ACES_2, "aces_1": ACES_1, "plain": PLAIN}
    found = [
        Program(name=f"right_{space}_{name}", working=space, view=view, eight_bit=True, pose=pose)
        for space, pose in (("rec709", "rotated"), ("ap1", "small"))
        for name, view in views.items()
    ]
    found += [
        Program(name="right_rec709_light", working="rec709", stops=1.0),
        Program(name="right_ap1_light", working="ap1", stops=-1.0, pose="perspective"),
        Program(name="right_ap1_unsaid", working="ap1", say=False),
        Program(name="unconverted_view", read=NOTHING_CONVERTED, view=ACES_2, eight_bit=True),
        Program(name="unconverted_light", read=NOTHING_CONVERTED),
        Program(name="baked_in_float", view=ACES_2, say=False, pose="upside_down"),
    ]
    return found


PROGRAMS = (*_alone(), *_pairs(), *_right())
assert len(PROGRAMS) == 40
