"""Read a render of the card: what the program that made it did with each input."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.errors import UseError
from primecoat.images.colour_layers import colour_layers
from primecoat.images.oiio import read_pixels
from primecoat.images.oiio_stream import read_parts
from primecoat.proof.card.explain import Way, nothing_fits, shares, views_that_fit, ways
from primecoat.proof.card.find import find_card
from primecoat.proof.card.inputs import INPUTS, Given
from primecoat.proof.card.layout import STRENGTHS
from primecoat.proof.card.model import Answer, CardReading, InputReading, ViewChoice, standing_of
from primecoat.proof.card.sample import Look, look_at
from primecoat.proof.card.views import choices

WORKING_SPACES = ("lin_rec709_scene", "lin_ap1_scene", "lin_p3d65_scene", "lin_rec2020_scene")
"""Working spaces that are tried, besides the space the numbers are said to be in."""

_TOLD = 0.001
"""Answers with a smaller share are not told."""


def read_card(
    path: Path,
    *,
    space: str | None = None,
    views: tuple[str, ...] = (),
    config: str = DEFAULT_CONFIG,
) -> CardReading:
    """Say how the program that rendered the card read each input.

    Parameters
    ----------
    path
        The render: OpenEXR, PNG, TIFF or another picture; scene-referred or display-referred.
    space
        Color Interop ID of its numbers, if that is known.
    views
        Names of the views to try, ``none`` for none; empty: all that are known.
    config
        OpenColorIO config.

    Raises
    ------
    UseError
        If there is no card in the picture, or no view is as said.
    ImageError
        If it cannot be read.
    """
    picture, whole = _numbers(path)
    tried = choices(config, space=space, views=views)
    place = find_card(picture, path.name)
    looks = {
        False: look_at(picture, place.to_picture),
        True: look_at(np.clip(picture, 0.0, 1.0), place.to_picture),
    }
    scene = space if space is not None and SPACES[space].referred == "scene" else None
    workings: tuple[str, ...] = WORKING_SPACES
    if scene is not None and SPACES[scene].linear and scene not in workings:
        workings = (*workings, scene)
    fitting = views_that_fit(looks, tried, scene or workings[0], whole=whole)
    found = ways(looks, fitting, workings, scene, config, whole=whole)
    weights = shares([way.log_likelihood for way in found]) if found else []
    ranked = _views(found, weights)
    view = next((way for way in found if way.view == ranked[0][0]), None) if ranked else None
    working = _working(found, weights)
    baked = view.view.baked if view else False
    height, width = picture.shape[:2]
    return CardReading(
        path=path,
        width=width,
        height=height,
        corners=tuple((float(x), float(y)) for x, y in place.corners),
        mirrored=place.mirrored,
        view=view.view if view else None,
        view_standing=standing_of(ranked[0][1]) if ranked else "unknown",
        views=ranked,
        working=working,
        working_standing=standing_of(working[0].confidence) if working else "unknown",
        stops=view.wedge.stops - float(np.log2(STRENGTHS["main"])) if view else None,
        misfit=view.wedge.misfit if view else float("inf"),
        inputs=tuple(
            _input(given, looks[baked][key], found, weights) for key, given in INPUTS.items()
        ),
        config=config,
    )


def _numbers(path: Path) -> tuple[NDArray[np.float32], bool]:
    """Return the numbers of a render, shape (height, width, 3), and whether they were whole."""
    layers = [one for one in colour_layers(read_parts(path)[0].channels) if len(one.channels) == 3]
    if not layers:
        raise UseError(
            f"{path} has no colour to tell readings by: it has no red, green and blue.",
            "Render the card in colour.",
        )
    layer = next((one for one in layers if not one.name), layers[0])
    pixels = read_pixels(path)
    whole = pixels.dtype.kind == "u"
    scale = np.float32(1 / np.iinfo(pixels.dtype).max) if whole else np.float32(1)
    return np.asarray(pixels[..., list(layer.channels)], np.float32) * scale, whole


def _views(found: tuple[Way, ...], weights: list[float]) -> tuple[tuple[ViewChoice, float], ...]:
    total: dict[ViewChoice, float] = {}
    for way, weight in zip(found, weights, strict=True):
        total[way.view] = total.get(way.view, 0.0) + weight
    ranked = sorted(total.items(), key=lambda one: -one[1])
    return tuple((view, min(share, 1.0)) for view, share in ranked if share >= _TOLD)


def _working(found: tuple[Way, ...], weights: list[float]) -> tuple[Answer, ...]:
    total: dict[str, float] = {}
    for way, weight in zip(found, weights, strict=True):
        total[way.working] = total.get(way.working, 0.0) + weight
    ranked = sorted(total.items(), key=lambda one: -one[1])
    return tuple(
        Answer(reading=space, confidence=min(share, 1.0), working=(space,))
        for space, share in ranked
        if share >= _TOLD
    )


def _input(given: Given, look: Look, found: tuple[Way, ...], weights: list[float]) -> InputReading:
    totals: dict[str, float] = {}
    where: dict[str, list[str]] = {}
    same: dict[str, set[str]] = {}
    nothing, misfit = 0.0, float("inf")
    for way, weight in zip(found, weights, strict=True):
        fits = way.fits[given.key]
        *parts, none = shares([*(fit.log_likelihood for _, fit in fits), nothing_fits(look)])
        nothing += weight * none
        misfit = min(misfit, *(fit.misfit for _, fit in fits))
        for (candidate, _), part in zip(fits, parts, strict=True):
            name = candidate.named(given.made_as)
            totals[name] = totals.get(name, 0.0) + weight * part
            if weight * part >= _TOLD:
                where.setdefault(name, []).append(way.working)
                same.setdefault(name, set()).update(n for n in candidate.readings if n != name)
    ranked = sorted(totals.items(), key=lambda one: -one[1])
    answers = tuple(
        Answer(
            reading=name,
            confidence=min(share, 1.0),
            working=tuple(dict.fromkeys(where.get(name, ()))),
            same=tuple(sorted(same.get(name, ()))),
        )
        for name, share in ranked
        if share >= _TOLD
    )
    lost = not answers or nothing >= 0.5
    return InputReading(
        key=given.key,
        words=given.words,
        path=given.path,
        made_as=given.made_as,
        answers=() if lost else answers,
        standing="unknown" if lost else standing_of(answers[0].confidence),
        misfit=misfit,
        seen=tuple((float(r), float(g), float(b)) for r, g, b in look.mean),
    )
