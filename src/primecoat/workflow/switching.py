"""What the switch to the working space changes, in numbers: the worst of each kind first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.colour.ocio import (
    DEFAULT_CONFIG,
    DEFAULT_DISPLAY,
    DEFAULT_VIEW,
    display_xyz,
    through_view,
)
from primecoat.colour.primaries import Triple
from primecoat.config.misread_data import data_cost
from primecoat.config.misreading import ColourCost, Window, colour_cost
from primecoat.errors import UseError
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import ImageReading, UseReading
from primecoat.reading.products import ColourProduct

Kind = Literal["picture", "data", "colour", "light", "product"]

MOST = 5
"""How many of each kind are told."""

_WEIGHED = 60
"""Pictures whose own pixels are looked at: those with the worst mid-grey."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """One thing that looks otherwise if it is left as it is.

    Parameters
    ----------
    kind
        ``picture`` (colour read in another space), ``data`` (numbers read as a colour), ``colour``,
        ``light``, or ``product`` (of two colours, which cannot be kept exact).
    where, owner, slot
        Path of the picture, or the scene; who uses it, as what.
    before, after
        Readings today and needed, or numbers today and in the working space.
    difference
        For pictures (95th percentile of their pixels, else mid-grey), colours and lights: CIEDE2000
        through the view between right and left as it is. For data: greatest change of a number.
        For products: 95th percentile of the relative residual. None if it is not known.
    stops
        For pictures: how much brighter mid-grey gets by today's reading; None if not known.
    """

    kind: Kind
    where: str
    owner: str
    slot: str
    before: str | Triple
    after: str | Triple
    difference: float | None
    stops: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """The worst effects of each kind, the worst first, and how many there are of each."""

    display: str
    view: str
    counts: dict[Kind, int]
    worst: tuple[Effect, ...]


def switch_effects(survey: Survey, *, display: str = "", view: str = "") -> Switch:
    """Return what the switch changes, in numbers.

    Parameters
    ----------
    display, view
        Where it is looked at; by default the usual view of the built-in configs.

    Raises
    ------
    UseError
        If the config has no such view.
    """
    readings = survey.readings
    window = Window(
        config=readings.config or DEFAULT_CONFIG,
        linear=readings.to_space,
        display=display or DEFAULT_DISPLAY,
        view=view or DEFAULT_VIEW,
    )
    pictures = _misread(readings.images, window)
    kinds: dict[Kind, list[Effect]] = {
        "picture": [one for one in pictures if one.kind == "picture"],
        "data": [one for one in pictures if one.kind == "data"],
        "colour": _moved("colour", readings.colours, window),
        "light": _moved("light", readings.lights, window),
        "product": [_product(one) for one in readings.products],
    }
    worst = []
    for found in kinds.values():
        found.sort(key=lambda one: -(one.difference or 0.0))
        worst.extend(found[:MOST])
    return Switch(
        display=window.display,
        view=window.view,
        counts={kind: len(found) for kind, found in kinds.items()},
        worst=tuple(worst),
    )


def _misread(images: Sequence[ImageReading], window: Window) -> list[Effect]:
    found = [
        (image, use)
        for image in images
        for use in image.uses
        if UNKNOWN not in (use.judgement.reading, use.today) and use.today != use.judgement.reading
    ]
    grey: dict[tuple[str, str], float | None] = {}
    for _, use in found:
        pair = (use.judgement.reading, use.today)
        if pair not in grey:
            cost = _cost(window, *pair, np.empty((0, 3)))
            grey[pair] = cost.stops if isinstance(cost, ColourCost) else None
    found.sort(key=lambda one: -abs(grey[one[1].judgement.reading, one[1].today] or 0.0))
    return [
        _misread_use(image, use, window, weigh=number < _WEIGHED)
        for number, (image, use) in enumerate(found)
    ]


def _misread_use(image: ImageReading, use: UseReading, window: Window, *, weigh: bool) -> Effect:
    wanted, today = use.judgement.reading, use.today
    statistics = image.record.statistics
    pixels = np.array(statistics.colours if statistics and weigh else (), dtype=np.float64)
    pixels = pixels.reshape(-1, 3)
    effect = Effect(
        kind="data" if wanted == DATA else "picture",
        where=image.record.path,
        owner=use.scene_use.use.owner,
        slot=use.scene_use.use.slot,
        before=today,
        after=wanted,
        difference=None,
    )
    return _with_cost(effect, _cost(window, wanted, today, pixels))


def _with_cost(effect: Effect, cost: ColourCost | float | None) -> Effect:
    if isinstance(cost, ColourCost):
        return replace(effect, difference=cost.p95, stops=cost.stops)
    return replace(effect, difference=cost)


def _cost(
    window: Window, wanted: str, today: str, pixels: NDArray[np.float64]
) -> ColourCost | float | None:
    """Return what a misreading costs; for data the greatest change of a number."""
    try:
        if wanted == DATA:
            made = data_cost(window.config, window.linear, today, pixels, normal=False)
            return made.most_off
        read = window.linear if today == DATA else today
        return colour_cost(window, wanted, read, pixels)
    except UseError:
        return None  # the config has no such space


def _moved(kind: Kind, colours: Sequence[ColourReading], window: Window) -> list[Effect]:
    known = [(one, one.working) for one in colours if one.working is not None]
    if not known:
        return []
    left = _seen([one.value.value for one, _ in known], window)
    right = _seen([working for _, working in known], window)
    made = []
    for (one, working), difference in zip(known, ciede2000(left, right).tolist(), strict=True):
        made.append(
            Effect(
                kind=kind,
                where=one.scene.name,
                owner=one.value.owner,
                slot=one.value.slot,
                before=one.value.value,
                after=working,
                difference=difference if np.isfinite(difference) else None,
            )
        )
    return made


def _seen(values: Sequence[Triple], window: Window) -> NDArray[np.float64]:
    light = np.array(values, dtype=np.float64)
    codes = through_view(light, window.linear, window.display, window.view, window.config)
    codes = np.clip(codes.astype(np.float64), 0.0, 1.0)
    return lab(display_xyz(codes, window.display, window.view, window.config))


def _product(product: ColourProduct) -> Effect:
    return Effect(
        kind="product",
        where=product.image or product.scene.name,
        owner=product.owner,
        slot=product.slot,
        before=product.operation,
        after=product.why,
        difference=product.residual.p95 if product.residual else None,
    )
