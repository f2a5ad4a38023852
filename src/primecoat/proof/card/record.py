"""The record beside the card: what stands where, and what each patch truly is."""

from __future__ import annotations

import numpy as np

from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.documents import Document
from primecoat.proof.card import gltf, materialx, sheet, usd
from primecoat.proof.card.candidates import (
    Values,
    candidates,
    lamp_patches,
    lit_constants,
    white_wedge,
)
from primecoat.proof.card.inputs import INPUTS
from primecoat.proof.card.layout import (
    CAMERA,
    CAMERA_ANGLE,
    INNER,
    LIGHTS,
    MARKS,
    OUTER,
    PATCHES,
    STRENGTHS,
    VERSION,
    direction,
    fields,
)

FILE = "card.json"
_SPACES = ("lin_rec709_scene", "lin_ap1_scene")


def card_record(config: str = DEFAULT_CONFIG) -> Document:
    """Return the record as ``primecoat.card_record/1``.

    Values are linear light for lights of strength 1,
    in two spaces, every input read as it was made. The lamps' products are made in each space,
    as a renderer does, so those two differ by more than a matrix.
    """
    values = {space: _true(space, config) for space in _SPACES}
    at = dict.fromkeys(values[_SPACES[0]], 0)
    patches = []
    for patch in PATCHES:
        first = at[patch.given]
        at[patch.given] += patch.swatches
        patches.append(
            {
                "name": patch.name,
                "input": patch.given,
                "light": patch.group,
                "fields": [
                    {
                        "x": x,
                        "y": y,
                        "values": {
                            space: [float(v) for v in values[space][patch.given][first + n]]
                            for space in _SPACES
                        },
                    }
                    for n, (x, y, _) in enumerate(fields(patch))
                ],
            }
        )
    return {
        "document": "primecoat.card_record/1",
        "layout": VERSION,
        "config": config,
        "frame": {"inner": list(INNER), "outer": list(OUTER), "marks": [list(m) for m in MARKS]},
        "camera": {"distance": CAMERA, "vertical_angle": CAMERA_ANGLE},
        "lights": {name: direction(*way).tolist() for name, way in LIGHTS.items()},
        "strengths": dict(STRENGTHS),
        "inputs": [
            {
                "key": given.key,
                "words": given.words,
                "slot": given.slot,
                "path": given.path or None,
                "made_as": given.made_as,
            }
            for given in INPUTS.values()
        ],
        "patches": patches,
        "cannot": {module.FILE: list(module.CANNOT) for module in (usd, gltf, materialx, sheet)},
    }


def _true(space: str, config: str) -> dict[str, Values]:
    known = candidates(space, config)
    right = {
        key: next(one for one in known[key] if given.made_as in one.readings)
        for key, given in INPUTS.items()
    }
    found = {key: candidate.values for key, candidate in right.items()}
    found["white"] = np.asarray(convert(white_wedge(), space, space, config), np.float64)
    found["constant"] = lit_constants(right["constant"])
    for key in ("light_by_colour", "light_by_temperature"):
        found[key] = lamp_patches(right[key], right["constant"], key)
    return found
