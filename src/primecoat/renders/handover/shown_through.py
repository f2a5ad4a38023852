"""Through which view a picture that was handed over went, as the manifest beside it tells."""

from __future__ import annotations

import json
from pathlib import Path

from primecoat.documents import load
from primecoat.errors import PrimecoatError
from primecoat.files import sha256_of
from primecoat.renders.handover.run import KIND
from primecoat.renders.pairing import Through


def shown_through(path: Path) -> Through | None:
    """Return how a picture was made from its master; None if no manifest tells.

    A manifest tells of a file whose name and bytes are those that it lists.

    Parameters
    ----------
    path
        Display-referred picture.
    """
    for manifest in sorted(path.parent.glob("handover.*.json")):
        try:
            told = load(manifest, KIND)
            listed = [one["sha256"] for one in told["files"] if one["output"] == path.name]
            display, view, config = (told["recipe"][n] for n in ("display", "view", "config"))
            look = told["recipe"].get("look")
        except (PrimecoatError, KeyError, TypeError, AttributeError):
            continue  # somebody else's file, or a damaged one
        if listed and sha256_of(path) in listed and isinstance(view, str):
            words = "" if look is None else json.dumps(look, sort_keys=True)
            return Through(display=str(display), view=view, config=str(config), look=words)
    return None
