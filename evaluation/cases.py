"""Generate labelled pictures in a folder, with a scene sheet that puts each into its slot."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np

from evaluation import names
from evaluation.contents import choose
from evaluation.contents.content import Content, Kind, Rng
from evaluation.recipes import choose_recipe
from evaluation.writing import Recipe, write
from primecoat.colour.ids import DATA, UNKNOWN

SHEET = "scene.csv"
SIZES = {"small": 400, "full": 4000}
"""Pictures in a set."""

Use = tuple[str, str]
"""Slot and channels."""

Header = Literal["true", "none", "lying"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One labelled picture.

    Parameters
    ----------
    path
        Relative to the folder.
    kind
        Whether it is colour.
    space
        The reading that a true statement tells: a Color Interop ID, ``data``, or ``unknown`` where
        none tells it, whatever is likely.
    accepted
        Further readings that are as right, since the statement leaves open whether the scene or
        a display is meant.
    stored
        What the numbers truly are, told or not; empty if nobody knows.
    content
        The slot word for what it shows.
    subject
        What it shows, more closely.
    uses
        Slots, with channels, that it is used in; none if in no scene.
    name_style
        How its name was made up.
    header
        Whether the file's statement is true, lying, or there is none.
    statement
        Kind of the statement.
    damage
        What was done to it that should not have been.
    slot_is_right
        Whether it stands in a slot that it is made for.
    """

    path: str
    kind: Kind
    space: str
    content: str
    accepted: tuple[str, ...] = ()
    stored: str = ""
    subject: str = ""
    uses: tuple[Use, ...] = ()
    name_style: str = ""
    header: Header = "none"
    statement: str = "none"
    damage: str = ""
    slot_is_right: bool = True


def generate(folder: Path, count: int, seed: int) -> tuple[Case, ...]:
    """Write labelled pictures into an empty folder.

    Parameters
    ----------
    folder
        Where to; sets of maps and groups of single pictures get sub-folders.
    count
        How many pictures.
    seed
        The same seed and count give the same files.
    """
    cases: list[Case] = []
    number = 0
    while len(cases) < count:
        rng = np.random.default_rng((seed, number))
        style = str(rng.choice(names.STYLES))
        if rng.random() < 0.3:
            _, contents = choose.material(rng)
            group = f"set_{number:04d}"
        else:
            contents = (choose.single(rng),)
            group = f"group_{len(cases) // 40:03d}"
        (folder / group).mkdir(parents=True, exist_ok=True)
        stem = names.stem(rng)
        for content in contents[: count - len(cases)]:
            cases.append(_write_case(folder, group, content, stem, style, rng))
        number += 1
    _write_sheet(folder / SHEET, cases)
    return tuple(cases)


def _write_case(
    folder: Path, group: str, content: Content, stem: str, style: str, rng: Rng
) -> Case:
    content = _spoilt(rng, content)
    recipe, header = choose_recipe(rng, content)
    named = names.file_stem(rng, style, stem, content.subject, recipe.stored)
    path = _free(folder / group, named, recipe.ending)
    write(path, content, recipe, rng)
    right = bool(rng.random() >= 0.04)
    told_by_name = style == "token"
    space = _space(content, recipe, header, told_by_name)
    return Case(
        path=path.relative_to(folder).as_posix(),
        kind=content.kind,
        space=space,
        accepted=_accepted(content, recipe, space, told_by_name),
        stored=recipe.stored,
        content=content.slot,
        subject=content.subject,
        uses=_uses(rng, content, right),
        name_style=style,
        header="true" if header == "true" else "lying" if header == "lying" else "none",
        statement=recipe.statement,
        damage=content.damage,
        slot_is_right=right,
    )


def _space(content: Content, recipe: Recipe, header: str, told_by_name: bool) -> str:
    """Return what true statements tell."""
    if content.kind == "data":
        return DATA
    told = told_by_name or (header == "true" and recipe.told)
    return recipe.stored if told else UNKNOWN


def _accepted(content: Content, recipe: Recipe, space: str, told_by_name: bool) -> tuple[str, ...]:
    """Return the display's space beside the scene's where no ID says which is meant."""
    by_id = told_by_name or recipe.statement == "id"
    if space in (DATA, UNKNOWN) or by_id or content.slot != "backplate":
        return ()
    encoding = space.rsplit("_", 1)[0]
    return tuple(
        f"{encoding}_{end}" for end in ("scene", "display") if f"{encoding}_{end}" != space
    )


def _uses(rng: Rng, content: Content, right: bool) -> tuple[Use, ...]:
    if not right:
        wrong = (
            ("roughness", "normal", "metalness") if content.kind == "colour" else ("base_color",)
        )
        slot = str(rng.choice(wrong))
        return ((slot, "rgb" if slot in ("normal", "base_color") else "r"),)
    channels = content.pixels.shape[2]
    if content.slot == "packed":
        if rng.random() < 0.5 and channels >= 3:
            return (("occlusion", "r"), ("roughness", "g"), ("metalness", "b"))
        return (("packed", "rgba"[:channels]),)
    one = ("roughness", "glossiness", "metalness", "occlusion", "height", "opacity")
    first: Use = (content.slot, "r" if content.slot in one or content.grey else "rgb")
    if content.kind == "colour" and content.grey:
        first = (content.slot, "rgb")
    if content.kind == "colour" and channels in (2, 4):
        return (first, ("opacity", "a"))
    return (first,)


def _spoilt(rng: Rng, content: Content) -> Content:
    """Return a picture of light or numbers with a few that are none, now and then."""
    if not content.unbounded or rng.random() > 0.06:
        return content
    pixels = content.pixels.copy()
    rows = rng.integers(0, pixels.shape[0], 5)
    columns = rng.integers(0, pixels.shape[1], 5)
    damage = str(rng.choice(("nan", "inf", "negative")))
    pixels[rows, columns] = {"nan": np.nan, "inf": np.inf, "negative": -0.01}[damage]
    return replace(content, pixels=pixels, damage=damage)


def _free(folder: Path, stem: str, ending: str) -> Path:
    path, number = folder / f"{stem}.{ending}", 2
    while path.exists():
        path, number = folder / f"{stem}_{number:02d}.{ending}", number + 1
    return path


def _write_sheet(path: Path, cases: Sequence[Case]) -> None:
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow(("path", "owner", "slot", "channels"))
        for case in cases:
            owner = case.path.partition("/")[0]
            writer.writerows((case.path, owner, slot, channels) for slot, channels in case.uses)
