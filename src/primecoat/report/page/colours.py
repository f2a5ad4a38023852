"""Picked colours and lights: numbers before and after, with swatches that need no screen set-up."""

from __future__ import annotations

import numpy as np

from primecoat.colour.ocio import convert
from primecoat.colour.products import REFLECTANCES
from primecoat.errors import UseError
from primecoat.reading.colours import ColourReading
from primecoat.report.page.markup import Markup, row, table, tag
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import count, numbers
from primecoat.scenes.model import ColourValue

SCREEN = "srgb_rec709_scene"
"""Swatches are these codes: what a browser shows of plain CSS colours, with no tone mapping."""

_OPEN_UP_TO = 80

Triple = tuple[float, float, float]


def colour_table(shown: Shown) -> list[Markup]:
    """Return all colours and lights with what becomes of their numbers."""
    if not shown.values:
        return []
    to = shown.survey.readings.to_space
    columns = ("colour", "numbers today", f"numbers in {to}", "converted, unconverted")
    made = table(columns, [_row(shown, value) for value in shown.values], "colours")
    note = (
        "Swatches show the plain colour in sRGB, without a tone curve; what lies outside 0 to 1 is "
        "clipped, and says so. Left: converted, the colour as it was picked. "
        f"Right: unconverted, what the same numbers would be if taken for {to} as they are."
    )
    summary = tag("summary", count(len(shown.values), "colour"))
    folds = len(shown.values) > _OPEN_UP_TO
    return [
        tag("h3", "Colours and lights"),
        tag("p", note, class_="legend"),
        tag("details", summary, made) if folds else made,
    ]


def product_table(shown: Shown) -> list[Markup]:
    """Return the pictures that meet a coloured tint, with what cannot be kept exact."""
    products = shown.survey.readings.products
    if not products:
        return []
    to = shown.survey.readings.to_space
    columns = ("picture", "tint", f"left over in {to}")
    rows = [
        row(
            tag(
                "span",
                tag("span", tag("b", product.owner, class_="path"), f" {product.slot}"),
                tag("small", product.image, class_="path"),
                class_="stack",
            ),
            tag("span", numbers(product.factor), class_="numbers"),
            f"{product.residual.median:.1%} in the middle, {product.residual.p95:.1%} at most "
            f"for 95 of 100, {product.residual.maximum:.0%} at worst",
        )
        for product in products
    ]
    note = (
        "A picture times a coloured tint is worked out channel by channel, so converting each by "
        f"itself cannot keep it exact. Relative errors over {REFLECTANCES}."
    )
    return [
        tag("h3", "Pictures times a tint"),
        tag("p", note, class_="legend"),
        table(columns, rows, "colours"),
    ]


def _row(shown: Shown, colour: ColourReading) -> Markup:
    readings, value = shown.survey.readings, colour.value
    place = tag("small", str(value.location), class_="path")
    owner = tag("b", value.owner or "(no name)", class_="path")
    before = (
        tag("span", numbers(value.value)),
        _span(value),
        tag("code", colour.reading),
        tag("small", colour.why),
    )
    if colour.working is None:
        after = (tag("em", "not known until its space is"),)
        swatches = tag("em", "no swatch")
    else:
        after = (tag("span", numbers(colour.working)),)
        swatches = tag(
            "span",
            swatch(value.value, colour.reading, readings.config),
            swatch(value.value, readings.to_space, readings.config),
            class_="pair",
        )
    return row(
        tag("span", tag("span", owner, f" {value.slot}"), place, class_="stack"),
        tag("span", *before, class_="stack numbers"),
        tag("span", *after, class_="stack numbers"),
        swatches,
    )


def _span(value: ColourValue) -> Markup | None:
    """Return how far many values at one place reach; the other columns show the least."""
    if value.maximum is None:
        return None
    words = f"the least of {value.count} values, up to {numbers(value.maximum)} by channel"
    return tag("small", words, class_="wrap")


def swatch(value: Triple, reading: str, config: str) -> Markup:
    """Return a patch of a colour, clipped to sRGB."""
    try:
        light = convert(value, reading, SCREEN, config)
    except UseError:
        return tag("em", "no swatch")
    clipped = np.clip(light, 0.0, 1.0)
    red, green, blue = np.rint(clipped * 255.0).astype(int).tolist()
    outside = bool(np.abs(light - clipped).max() > 0.5 / 255.0)
    code = f"#{red:02x}{green:02x}{blue:02x}"
    return tag(
        "span",
        tag("i", style=f"background:{code}"),
        tag("small", code, " clipped" if outside else None),
        class_="swatch",
    )
