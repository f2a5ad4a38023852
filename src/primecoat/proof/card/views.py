"""The ways from light to the numbers of a file that are tried on a render."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert, display_reading, load_config, through_view
from primecoat.errors import UseError
from primecoat.proof.card.model import NO_VIEW, ViewChoice

OLDER = "studio-config-v2.1.0_aces-v1.3_ocio-v2.3"
"""Built-in config whose views are tried too: it has those of ACES 1."""

_NONE = ViewChoice(names=(("", NO_VIEW),))
_RAW = ("raw",)
_SAME = 1e-4
"""Display codes that differ by less are the same."""
_PROBES = np.array(
    [[v * r, v * g, v * b] for v in (0.02, 0.2, 0.9, 4.0) for r, g, b in np.eye(3) * 0.8 + 0.1]
)


def choices(config: str, *, space: str | None, views: tuple[str, ...]) -> tuple[ViewChoice, ...]:
    """Return the views to try.

    Parameters
    ----------
    config
        OpenColorIO config in use.
    space
        What the numbers are said to be in: only ways that end there are tried. None: all.
    views
        Names of views that are said to be baked in (``none`` for none); empty: all.

    Raises
    ------
    UseError
        If no view fits what is said.
    """
    referred = None if space is None else SPACES[space].referred
    baked = [] if referred == "scene" else list(_baked((config, OLDER)))
    if referred == "display":
        baked = [c for c in baked if any(_ends_in(c, name) == space for name in c.names)]
    everything = baked if referred == "display" else [_NONE, *baked]
    wanted = {view.casefold() for view in views}
    found = tuple(
        c for c in everything if not wanted or any(view.casefold() in wanted for _, view in c.names)
    )
    if not found:
        known = ", ".join(dict.fromkeys(view for c in everything for _, view in c.names))
        asked = " or ".join(views) or f"a view that ends in {space}"
        raise UseError(f"No way from light to numbers is {asked}.", f"Name one of: {known}.")
    return found


def shown(
    values: NDArray[np.float64], working: str, choice: ViewChoice, space: str, *, whole: bool
) -> NDArray[np.float64]:
    """Return the numbers that a file holds for light.

    Parameters
    ----------
    values
        Shape (..., 3), linear in the working space.
    working, space
        Color Interop IDs: of the working space, and of the numbers where no view is baked in.
    choice
        The view.
    whole
        Whether the file holds whole numbers, which end at 0 and 1.
    """
    if choice.baked:
        display, view = choice.names[0]
        codes = through_view(values, working, display, view, choice.config)
        return np.clip(np.asarray(codes, np.float64), 0.0, 1.0)
    out = values if space == working else np.asarray(convert(values, working, space), np.float64)
    return np.clip(out, 0.0, 1.0) if whole else out


def steepness(choice: ViewChoice, codes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how fast the codes of a baked view rise with light, for greys of these codes."""
    known, slopes = _grey_curve(choice)
    return np.interp(codes, known, slopes)


@lru_cache(maxsize=64)
def _grey_curve(choice: ViewChoice) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return codes that rise, and the slope at each, shape (n,)."""
    light = np.exp2(np.linspace(-16.0, 8.0, 385))
    greys = np.repeat(light[:, None], 3, axis=1)
    codes = shown(greys, "lin_rec709_scene", choice, "", whole=False)[:, 1]
    codes, first = np.unique(np.maximum.accumulate(codes), return_index=True)
    return codes, np.gradient(codes, light[first]) if len(codes) > 1 else np.zeros(len(codes))


def _ends_in(choice: ViewChoice, name: tuple[str, str]) -> str | None:
    try:
        return display_reading(*name, choice.config)
    except UseError:
        return None


@lru_cache(maxsize=8)
def _baked(configs: tuple[str, ...]) -> tuple[ViewChoice, ...]:
    """Return the views of standard dynamic range of configs; those that are the same, as one."""
    found: list[tuple[str, list[tuple[str, str]], NDArray[np.float64]]] = []
    for config in configs:
        for name in _names(config):
            try:
                codes = through_view(_PROBES, "lin_rec709_scene", *name, config)
            except UseError:
                continue  # a view that cannot be built, or a config without that space
            clipped = np.clip(np.asarray(codes, np.float64), 0.0, 1.0)
            for _, names, known in found:
                if np.abs(clipped - known).max() < _SAME:
                    names += [] if name in names else [name]
                    break
            else:
                found.append((config, [name], clipped))
    return tuple(ViewChoice(names=tuple(names), config=config) for config, names, _ in found)


def _names(config: str) -> Iterable[tuple[str, str]]:
    loaded = load_config(config)
    for display in loaded.getDisplays():
        if any(word in display.lower() for word in ("2100", "2084", "hdr")):
            continue
        for view in loaded.getViews(display):
            if view.lower() not in _RAW:
                yield str(display), str(view)
