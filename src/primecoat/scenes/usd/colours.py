"""Every colour-typed value of a stage: in its effective space, or why it is no colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.model import COLOUR_SLOTS, LARGEST, ColourValue
from primecoat.scenes.usd.exceptions import exception_of
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.shaders import category_of
from primecoat.scenes.usd.spaces import EffectiveSpace, Spaces
from primecoat.scenes.usd.walk import Met

Rows = NDArray[np.float64]

LIGHT_COLOUR = "inputs:color"
FALLBACK = "inputs:fallback"
_BASE = ("primvars:displayColor",)
_TEMPERATURE = "inputs:colorTemperature"
_USES_TEMPERATURE = "inputs:enableColorTemperature"


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
            light = home in met.lights and path.name == LIGHT_COLOUR
            shader = met.shaders.get(home)
            category = category_of(shader[1]) if shader else ""
            slot = "light_color" if light else _slot(path, slots)
            self._add(attribute, slot, category, light=met.lights.get(home) if light else None)
        for path, slot in textures.items():
            if slot not in COLOUR_SLOTS:
                continue
            attribute = stage.GetPrimAtPath(path).GetAttribute(FALLBACK)
            if attribute and attribute.HasAuthoredValue() and attribute.GetRoleName() != "Color":
                self._add(attribute, slot, "")
        for prim in met.lights.values():
            if not prim.GetAttribute(LIGHT_COLOUR).HasAuthoredValue():
                self._white(prim)

    def _add(self, attribute: Any, slot: str, category: str, light: Any = None) -> None:
        place = self.places.of(attribute)
        if place in self.values or place in self.lights:
            return
        rule = exception_of(category, attribute.GetName(), slot)
        location = Location(self.name, place)
        owner = _owner(attribute.GetPrim())
        rows = colour_rows(attribute)
        if rows is None or not bool((np.abs(rows) <= LARGEST).all()):  # no NaN passes this
            self._broken(location)
            return
        if not len(rows):
            rule, rows = "it holds no value", np.zeros((1, 3))
        space = self.spaces.of(attribute, light=light is not None)
        value = _value(rows, location, owner, slot, space, rule, _kelvin(light) if light else None)
        (self.values if light is None else self.lights)[place] = value

    def _white(self, prim: Any) -> None:
        """Add a light whose colour is not written: white, which is white in every space."""
        place = f"{self.places.shown(prim.GetPath())}.{LIGHT_COLOUR}"
        if place in self.lights:
            return
        space = self.spaces.of(prim.GetAttribute(LIGHT_COLOUR), light=True)
        self.lights[place] = ColourValue(
            location=Location(self.name, place),
            owner=_owner(prim),
            slot="light_color",
            value=(1.0, 1.0, 1.0),
            declared=space.declared,
            default=space.default or "lin_rec709_scene",
            space_from="the colour is not written: white, the same in every space",
            kelvin=_kelvin(prim),
        )

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
    exception: str,
    kelvin: float | None,
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
        kelvin=kelvin,
    )


def _kelvin(prim: Any) -> float | None:
    """Return the colour temperature of a light, if it is switched on."""
    enabled = prim.GetAttribute(_USES_TEMPERATURE)
    if not enabled or not enabled.Get():
        return None
    value = prim.GetAttribute(_TEMPERATURE).Get()
    return float(value) if value is not None else 6500.0


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
