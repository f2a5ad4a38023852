"""The page's colours keep the contrast that people need to read them."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

CSS = (files("primecoat.report") / "page" / "page.css").read_text(encoding="utf-8")


def luminance(code: str) -> float:
    """Return relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    digits = code.lstrip("#")
    digits = "".join(2 * d for d in digits) if len(digits) == 3 else digits
    shares = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    light = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio. Source: WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


THEMES = [dict(re.findall(r"--([a-z-]+): (#[0-9a-f]+)", block)) for block in CSS.split(":root")[1:]]


@pytest.mark.parametrize("theme", THEMES, ids=["light", "dark", "print"])
def test_text_has_the_contrast_of_level_aa(theme):
    for ink in ("ink", "quiet", "pencil"):
        assert contrast(theme[ink], theme["ground"]) >= 4.5, ink
    assert contrast(theme["mat-ink"], theme["mat"]) >= 4.5


@pytest.mark.parametrize("theme", THEMES, ids=["light", "dark", "print"])
def test_ground_and_mat_are_neutral(theme):
    for name in ("ground", "mat"):
        digits = theme[name].lstrip("#")
        third = len(digits) // 3
        assert len({digits[at * third : (at + 1) * third] for at in range(3)}) == 1


def test_the_style_fetches_nothing():
    assert "url(" not in CSS
    assert "@import" not in CSS
