"""Write ``docs/reference/colour-space-names.md``: what every name of the built-in configs is.

Run ``python tools/write_colour_space_names.py`` after a change to the vocabulary, to how spaces
are identified, or to OpenColorIO. With ``--print`` the page goes to the terminal, and on it every
name; the page in the documentation counts the names of camera makers and does not list them.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import PyOpenColorIO as ocio

from primecoat.colour.decoding import light_in_reference
from primecoat.colour.ids import READINGS, SPACES
from primecoat.colour.ocio import match_space
from primecoat.colour.transform_match import PROBES, TOLERANCE, match_light
from primecoat.config.identify import Identity, identify_all
from primecoat.config.names_elsewhere import NO_SPACE, named_elsewhere
from primecoat.scenes.materialx_names import CONVERTED, NO_CONVERSION
from primecoat.scenes.usd.door import Gf
from primecoat.scenes.usd.source_space import MEANING

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "colour-space-names.md"

HEAD = """\
# Colour-space names

This page is written by `tools/write_colour_space_names.py`.

A colour space has many names: one in each config, one in MaterialX, one in OpenUSD.
Primecoat takes every name to one reading, a Color Interop ID or `data`, and takes a reading to the config's own name.
A space that no ID stands for (a camera's log curve, say) is *specific to the config*.

## How a name is understood

Asked for a space of a config, Primecoat hears in this order:

1. the interop ID that the config states (OpenColorIO 2.5 and later); the namespace `ocio:` is read through;
2. the name and the aliases, where the vocabulary knows one of them, and the mark that a space is data;
3. the transform: {probes} code values go through it to the config's interchange space, exactly, and the light is compared with that of the vocabulary's own curves and primaries.

The transform is run in any case, and where it plainly disagrees with what is stated, the answer says so.
A space whose names were all changed is so found by what it does.
A config without the role `aces_interchange` is compared if OpenColorIO finds a space in it that it knows; display spaces need the role `cie_xyz_d65_interchange`.
Scene and display spaces are never compared with each other, even where the numbers are the same.
Display P3 with and without headroom (`srgb_p3d65_display`, `srgbe_p3d65_display`) have one transform; the encoding `edr-video` tells them apart.

## A bare `sRGB`

Three things are called sRGB: a curve, a set of primaries, and the encoding of IEC 61966-2-1 that has both.
A config that has a space of this name means that space, and its transform says which it is.
Where a config has none, `sRGB` is taken as `srgb_rec709_scene`: the standard of that name defines curve and primaries together, and who writes it beside a picture wants it decoded.
In a file name it stays no token, because there it is often no more than a habit.

## How sure a comparison is

The distance is the greatest relative difference of light over the code values.
A distance up to {tolerance:g} is a match.

| over the ten built-in configs | distance |
| --- | --- |
"""  # noqa: E501


def main() -> None:
    """Write the page, or print it."""
    if "--print" in sys.argv[1:]:
        print(page(makers=True))
    else:
        PAGE.write_text(page(), encoding="utf-8", newline="\n")


def page(*, makers: bool = False) -> str:
    """Return the whole page, with or without the names of camera makers one by one."""
    builtin = {
        name: ocio.Config.CreateFromBuiltinConfig(name)
        for name, *_ in ocio.BuiltinConfigRegistry().getBuiltinConfigs()
    }
    found = {name: identify_all(config) for name, config in builtin.items()}
    return "\n".join(
        [
            HEAD.format(probes=len(PROBES), tolerance=TOLERANCE) + "\n".join(_margins(builtin)),
            "",
            "## Counts",
            "",
            "Active spaces of each built-in config, and what settled their readings.",
            "*Same by transform*: how many come to the same reading if all names are taken away.",
            "",
            *_counts(found),
            "",
            "## Names of MaterialX and OpenUSD",
            "",
            *_elsewhere(),
            "",
            "## Names of the built-in configs",
            "",
            "Every active name, and how many configs have it.",
            "What makers of cameras call their own encodings (family `Input`) is one row.",
            "",
            *_names(found, set() if makers else _of_makers(builtin)),
            "",
        ]
    )


def _margins(builtin: dict[str, Any]) -> Iterator[str]:
    true: dict[str, tuple[float, str]] = {}
    other: dict[str, float] = {}
    for config in builtin.values():
        for name in config.getColorSpaceNames(ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL):
            if config.getColorSpace(name).isData():
                continue
            match = match_space(config, name)
            if match.reading:
                true[name] = max(true.get(name, (0.0, "")), (match.distance, match.reading))
            elif match.distance > TOLERANCE:
                other[name] = match.distance
    name, (most, reading) = max(true.items(), key=lambda item: item[1])
    yield f"| greatest of a true match ({name}, `{reading}`) | {most:.4f} |"
    second = max(d for d, r in true.values() if r != reading)
    yield f"| greatest of a true match of any other ID | {second:.5f} |"
    name = min(other, key=lambda name: other[name])
    yield f"| smallest of a space without an ID ({name}) | {other[name]:.4f} |"
    near = [_runner_up(space) for space in SPACES]
    gap, one, two = min(near)
    yield f"| smallest of two IDs (`{one}`, `{two}`) | {gap:.4f} |"


def _runner_up(space: str) -> tuple[float, str, str]:
    match = match_light(light_in_reference(PROBES, space), SPACES[space].referred)
    return match.runner_up_distance, space, match.runner_up


def _counts(found: dict[str, tuple[Identity, ...]]) -> Iterator[str]:
    means = ("interop ID", "alias", "same")
    yield "| config | active | mapped | by interop ID | by alias | same by transform | specific |"
    yield "| --- | --- | --- | --- | --- | --- | --- |"
    total: Counter[str] = Counter()
    for name, identities in found.items():
        counts = Counter[str](one.by for one in identities if one.reading)
        counts["active"] = len(identities)
        counts["mapped"] = sum(one.reading in READINGS for one in identities)
        counts["same"] = sum(one.reading == one.by_transform for one in identities if one.reading)
        counts["specific"] = counts["active"] - counts["mapped"]
        total += counts
        yield _count_row(f"`{name}`", counts, means)
    yield _count_row("all", total, means)


def _count_row(title: str, counts: Counter[str], means: tuple[str, ...]) -> str:
    cells = [counts[key] for key in ("active", "mapped", *means, "specific")]
    return f"| {title} | {' | '.join(map(str, cells))} |"


def _elsewhere() -> Iterator[str]:
    usd = {str(getattr(Gf.ColorSpaceNames, n)) for n in dir(Gf.ColorSpaceNames) if n[0] != "_"}
    usd |= {*MEANING, "auto"}
    materialx = CONVERTED | {NO_CONVERSION}
    names = sorted(usd | materialx | set(NO_SPACE) - {""}, key=str.lower)
    yield "| name | of | reading |"
    yield "| --- | --- | --- |"
    for name in names:
        meant = named_elsewhere(name)
        owners = [
            who for who, known in (("MaterialX", materialx), ("OpenUSD", usd)) if name in known
        ]
        reading = f"`{meant.reading}`" if meant.reading else f"none: {meant.words}"
        yield f"| `{name}` | {', '.join(owners) or 'OpenUSD 24.08'} | {reading} |"


def _of_makers(builtin: dict[str, Any]) -> set[str]:
    return {
        str(space.getName())
        for config in builtin.values()
        for space in config.getColorSpaces()
        if space.getFamily().startswith("Input")
    }


def _names(found: dict[str, tuple[Identity, ...]], makers: set[str]) -> Iterator[str]:
    every = [one for identities in found.values() for one in identities]
    of_makers = [one for one in every if one.name in makers]
    every = [one for one in every if one.name not in makers]
    rows = Counter((one.name, one.reading or "specific to the config") for one in every)
    by: dict[str, set[str]] = {}
    for one in every:
        by.setdefault(one.name, set()).add(one.by)
    yield "| name | reading | settled by | configs |"
    yield "| --- | --- | --- | --- |"
    for (name, reading), count in sorted(rows.items(), key=lambda row: row[0][0].lower()):
        shown = f"`{reading}`" if reading in READINGS else reading
        yield f"| {name} | {shown} | {', '.join(sorted(by[name] - {''}))} | {count} |"
    if of_makers:
        number = len({one.name for one in of_makers})
        readings = {one.reading for one in of_makers}
        words = "specific to the config" if readings == {None} else str(readings)
        yield f"| {number} names of camera makers | {words} |  | {len(of_makers)} in all |"


if __name__ == "__main__":
    main()
