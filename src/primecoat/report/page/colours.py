"""Picked colours and lights: numbers before and after, with swatches that need no screen set-up."""

from __future__ import annotations

import numpy as np

from primecoat.colour.ocio import convert
from primecoat.colour.products import REFLECTANCES
from primecoat.errors import UseError
from primecoat.reading.colours import ColourReading
from primecoat.reading.products import ColourProduct
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
    """Return the pictures that meet a coloured tint, and other work that cannot be kept exact."""
    products = shown.survey.readings.products
    if not products:
        return []
    to = shown.survey.readings.to_space
    columns = ("picture", "tint or work", f"left over in {to}")
    rows = [
        row(
            tag(
                "span",
                tag("span", tag("b", product.owner, class_="path"), f" {product.slot}"),
                tag("small", product.image or "no picture", class_="path"),
                tag("small", str(product.location), class_="path"),
                class_="stack",
            ),
            tag(
                "span",
                tag("span", numbers(product.factor) if product.factor else product.operation),
                tag("small", product.why, class_="wrap"),
                class_="stack numbers",
            ),
            _left_over(product),
        )
        for product in products
    ]
    note = (
        "This is worked out channel by channel, so converting each colour by itself cannot keep it "
        f"exact. Relative errors over {REFLECTANCES}, where nothing else is said."
    )
    return [
        tag("h3", "What cannot be kept exact"),
        tag("p", note, class_="legend"),
        table(columns, rows, "colours"),
    ]


def _left_over(product: ColourProduct) -> Markup:
    left = product.residual
    if left is None:
        return tag("em", f"no figure: {product.unknown}")
    over = tag("small", f"over {product.over}", class_="wrap")
    return tag(
        "span",
        tag(
            "span",
            f"{left.median:.1%} in the middle, {left.p95:.1%} at most "
            f"for 95 of 100, {left.maximum:.0%} at worst",
        ),
        over if product.over != REFLECTANCES else None,
        class_="stack",
    )


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
