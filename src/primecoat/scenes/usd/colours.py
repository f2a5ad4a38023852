"""Every colour-typed value of a stage: in its effective space, or why it is no colour."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.model import COLOUR_SLOTS, LARGEST, ColourValue
from primecoat.scenes.usd.exceptions import exception_of
from primecoat.scenes.usd.lamps import (
    LIGHT_COLOUR,
    PARTS,
    kelvin_of,
    lamp_samples,
    stands_plainly,
    switch_edit,
)
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.shaders import category_of
from primecoat.scenes.usd.spaces import EffectiveSpace, Spaces
from primecoat.scenes.usd.targets import standing_in
from primecoat.scenes.usd.walk import Met

Rows = NDArray[np.float64]

FALLBACK = "inputs:fallback"
_BASE = ("primvars:displayColor",)


@dataclass(slots=True)
class Colours:
    """Gathers the colours of one stage.

    Parameters
    ----------
    name
        The scene as shown to the user.
    """

    name: str
    places: Places
    spaces: Spaces
    values: dict[str, ColourValue] = field(default_factory=dict)
    lights: dict[str, ColourValue] = field(default_factory=dict)
    problems: dict[Finding, None] = field(default_factory=dict)

    def gather(
        self, met: Met, slots: Mapping[Any, str], textures: Mapping[Any, str], stage: Any
    ) -> None:
        """Add what a walk met.

        Parameters
        ----------
        slots
            Slot of attributes and prims that feed a surface, by path.
        textures
            Slot of textures that feed a surface, by path; their fallbacks are colours too.
        """
        for attribute in met.colours:
            path = attribute.GetPath()
            home = path.GetPrimPath()
            if home in met.lights and path.name == LIGHT_COLOUR:
                continue
            shader = met.shaders.get(home)
            category = category_of(shader[1]) if shader else ""
            self._add(attribute, _slot(path, slots), category)
        for path, slot in textures.items():
            if slot not in COLOUR_SLOTS:
                continue
            attribute = stage.GetPrimAtPath(path).GetAttribute(FALLBACK)
            if attribute and attribute.HasAuthoredValue() and attribute.GetRoleName() != "Color":
                self._add(attribute, slot, "")
        for prim in met.lights.values():
            self._light(prim)

    def _add(self, attribute: Any, slot: str, category: str) -> None:
        place = self.places.of(attribute)
        rule = exception_of(category, attribute.GetName(), slot)
        rows = colour_rows(attribute)
        if rows is None or not bool((np.abs(rows) <= LARGEST).all()):  # no NaN passes this
            self._broken(Location(self.name, place))
            return
        if not len(rows):
            rule, rows = "it holds no value", np.zeros((1, 3))
        space = self.spaces.of(attribute, light=False)
        owner = _owner(attribute.GetPrim())
        self._keep(
            self.values,
            place,
            lambda at: _value(rows, Location(self.name, at), owner, slot, space, rule),
        )

    def _light(self, prim: Any) -> None:
        """Add a light. One whose colour is not written is white, which is so in every space."""
        attribute = prim.GetAttribute(LIGHT_COLOUR)
        written, kelvin = attribute.HasAuthoredValue(), kelvin_of(prim)
        place = f"{self.places.shown(prim.GetPath())}.{LIGHT_COLOUR}"
        for name in PARTS[: 1 if kelvin is None else 3]:
            part = prim.GetAttribute(name)
            if part and part.HasAuthoredValue():
                place = standing_in(place, self.places.of(part))
        plainly = stands_plainly(prim)
        if self.places.choices and not plainly and place not in self.lights and "{" not in place:
            place = self.places.in_choices(place)
        samples = () if kelvin is None else lamp_samples(prim)
        rows = np.array([sample.colour for sample in samples]) if samples else None
        rows = colour_rows(attribute) if rows is None else rows
        if rows is None or not len(rows) or not bool((np.abs(rows) <= LARGEST).all()):
            self._broken(Location(self.name, place))
            return
        space = self.spaces.of(attribute, light=True)
        if not written:
            space = replace(
                space,
                default=None if space.declared else space.default or "lin_rec709_scene",
                words="the colour is not written: white, the same in every space",
            )
        owner = _owner(prim)

        def made(at: str) -> ColourValue:
            value = _value(rows, Location(self.name, at), owner, "light_color", space)
            if kelvin is None:
                return value if written else replace(value, declared_at=None, written_at=None)
            writable = samples and not (plainly and "{" in at)
            return replace(
                value,
                kelvin=kelvin,
                samples=tuple((sample.colour, sample.kelvin) for sample in samples),
                switch=switch_edit(at, samples) if writable else None,
            )

        self._keep(self.lights, place, made)

    def _keep(
        self, home: dict[str, ColourValue], place: str, made: Callable[[str], ColourValue]
    ) -> None:
        """Keep a value; one that another variant makes something else of is kept for that too."""
        value = made(place)
        known = home.setdefault(place, value)
        if _meaning(known) != _meaning(value):
            further = self.places.in_choices(place)
            if further not in home:
                home[further] = made(further)

    def _broken(self, location: Location) -> None:
        self.problems[
            finding(
                "reference_in_scene_is_broken",
                self.name,
                f"At {location.place}: its colour is no finite number.",
                "Mend this value.",
                location,
            )
        ] = None


def colour_rows(attribute: Any) -> Rows | None:
    """Return all colours that an attribute holds, at every time; None if they are no colours.

    Returns
    -------
    numpy.ndarray or None
        Shape (count, 3), alpha left out: the default value first, then the time samples.
    """
    found = []
    for value in _values(attribute):
        rows = np.array(value, dtype=np.float64)
        if rows.size == 0:
            continue
        if rows.shape[-1] not in (3, 4):
            return None
        found.append(rows.reshape(-1, rows.shape[-1])[:, :3])
    if len(found) == 1:
        return found[0]
    return np.concatenate(found) if found else np.empty((0, 3))


def _values(attribute: Any) -> Iterator[Any]:
    single = attribute.Get()
    if single is not None:
        yield single
    if attribute.GetNumTimeSamples():
        for time in attribute.GetTimeSamples():
            value = attribute.Get(time)
            if value is not None:
                yield value


def _value(
    rows: Rows,
    location: Location,
    owner: str,
    slot: str,
    space: EffectiveSpace,
    exception: str = "",
) -> ColourValue:
    single, place = len(rows) == 1, location.place
    least = most = rows[0].tolist()
    if not single:
        least, most = rows.min(axis=0).tolist(), rows.max(axis=0).tolist()
    what = "value" if single else "values"
    return ColourValue(
        location=location,
        owner=owner,
        slot=slot,
        value=(least[0], least[1], least[2]),
        written=" ".join(f"{v:.9g}" for v in least) if single else "",
        count=len(rows),
        maximum=None if single else (most[0], most[1], most[2]),
        declared=space.declared,
        declared_at=None if exception else Location(location.file, f"{place}/colorSpace"),
        written_at=None if exception else Location(location.file, f"{place}/{what}"),
        exception=exception,
        default=space.default,
        space_from=space.words,
        named=space.named,
        definition=space.definition,
    )


def _meaning(value: ColourValue) -> object:
    """Return what of a value must be the same in all variants to be changed in one place."""
    return (
        (value.value, value.maximum, value.count, value.exception),
        (value.declared, value.default, value.named),
        (value.kelvin, value.samples),
    )


def _slot(path: Any, slots: Mapping[Any, str]) -> str:
    """Return the slot of a colour: where it feeds a surface, that of the input it feeds."""
    if path.name in _BASE:
        return "base_color"
    return slots.get(path) or slots.get(path.GetPrimPath()) or "other_color"


def _owner(prim: Any) -> str:
    at = prim
    while at and not at.IsPseudoRoot():
        if at.GetTypeName() == "Material":
            prim = at
            break
        at = at.GetParent()
    return str(prim.GetDisplayName() or prim.GetName())
